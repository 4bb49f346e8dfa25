import java.security.GeneralSecurityException;
import java.security.KeyPair;
import java.security.KeyPairGenerator;
import java.security.SecureRandom;
import java.security.Signature;
import java.security.spec.NamedParameterSpec;
import java.util.Arrays;
import org.wrackline.Device;

/** The device of the script: its key, and a clock that is the same on every run. */
class TestDevice implements Device {
  private final KeyPair pair;
  private long now = 1_790_000_000_000L;

  TestDevice(byte[] secret) throws GeneralSecurityException {
    KeyPairGenerator generator = KeyPairGenerator.getInstance("Ed25519");
    generator.initialize(
        NamedParameterSpec.ED25519,
        new SecureRandom() {
          private static final long serialVersionUID = 1;

          @Override
          public void nextBytes(byte[] bytes) {
            System.arraycopy(secret, 0, bytes, 0, bytes.length);
          }
        });
    pair = generator.generateKeyPair();
  }

  @Override
  public byte[] publicKey() {
    byte[] encoded = pair.getPublic().getEncoded(); // The key stands at the end of its X.509 form.
    return Arrays.copyOfRange(encoded, encoded.length - 32, encoded.length);
  }

  @Override
  public byte[] sign(byte[] text) {
    try {
      Signature signature = Signature.getInstance("Ed25519");
      signature.initSign(pair.getPrivate());
      signature.update(text);
      return signature.sign();
    } catch (GeneralSecurityException unable) {
      return null;
    }
  }

  @Override
  public long wallClockMs() {
    return now += 1000;
  }
}
