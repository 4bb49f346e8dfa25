import com.google.protobuf.ByteString;
import java.io.ByteArrayInputStream;
import java.io.DataOutputStream;
import java.io.FileOutputStream;
import java.net.URI;
import java.net.http.HttpClient;
import java.net.http.HttpRequest;
import java.net.http.HttpResponse;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.file.Files;
import java.nio.file.Path;
import java.security.KeyPair;
import java.security.KeyPairGenerator;
import java.security.KeyStore;
import java.security.SecureRandom;
import java.security.Signature;
import java.security.cert.CertificateFactory;
import java.security.spec.NamedParameterSpec;
import java.util.Arrays;
import java.util.concurrent.atomic.AtomicInteger;
import javax.net.ssl.SSLContext;
import javax.net.ssl.TrustManagerFactory;
import org.wrackline.Device;
import org.wrackline.Records;
import org.wrackline.WracklineException;
import wrackline.proto.Call;
import wrackline.proto.ExchangeCall;
import wrackline.proto.LogCall;
import wrackline.proto.NewRecord;
import wrackline.proto.Reply;
import wrackline.proto.StatusCall;
import wrackline.proto.SessionReply;

/** A program of another project, in Java; each mode is one test of run.sh. */
public final class Consumer {
  static class TestDevice implements Device {
    private final KeyPair pair;
    private long now = 1_790_000_000_000L;
    boolean signs = true;

    TestDevice(byte[] secret) throws Exception {
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
      if (!signs) throw new IllegalStateException("locked");
      try {
        Signature signature = Signature.getInstance("Ed25519");
        signature.initSign(pair.getPrivate());
        signature.update(text);
        return signature.sign();
      } catch (java.security.GeneralSecurityException e) {
        return null;
      }
    }

    @Override
    public long wallClockMs() {
      return now += 1000;
    }
  }

  static void expect(boolean holds, String what) {
    if (!holds) throw new AssertionError(what);
  }

  static int codeOf(Records records, Call call) {
    try {
      records.call(call);
      return 0;
    } catch (WracklineException failed) {
      return failed.code();
    }
  }

  static final Call STATUS = Call.newBuilder().setStatus(StatusCall.getDefaultInstance()).build();

  static void script(TestDevice device, String database, String calls, String answers) throws Exception {
    ByteBuffer in = ByteBuffer.wrap(Files.readAllBytes(Path.of(calls))).order(ByteOrder.LITTLE_ENDIAN);
    try (Records records = Records.open(device, database);
        DataOutputStream out = new DataOutputStream(new FileOutputStream(answers))) {
      while (in.hasRemaining()) {
        byte[] bytes = new byte[in.getInt()];
        in.get(bytes);
        byte[] answer;
        try {
          answer = records.call(Call.parseFrom(bytes)).toByteArray();
        } catch (WracklineException failed) {
          answer = Reply.newBuilder().setFailure(failed.failure()).build().toByteArray();
        }
        out.writeInt(Integer.reverseBytes(answer.length));
        out.write(answer);
      }
    }
  }

  static void misuse(TestDevice device, String database) throws Exception {
    try {
      Records.open(device, "/nonexistent/records.db");
      throw new AssertionError("records that are not there were opened");
    } catch (WracklineException failed) {
      expect(failed.code() == 20 && failed.getMessage().length() > 20, "told as not found: " + failed.getMessage());
    }
    try {
      Records.open(
          new Device() {
            @Override
            public byte[] publicKey() {
              return new byte[3];
            }

            @Override
            public byte[] sign(byte[] text) {
              return null;
            }
          },
          database);
      throw new AssertionError("a key of three bytes was taken");
    } catch (IllegalArgumentException refused) {
      expect(refused.getMessage().contains("32"), "said why");
    }
    Records records = Records.open(device, database);
    AtomicInteger good = new AtomicInteger();
    Thread[] threads = new Thread[4];
    for (int t = 0; t < threads.length; ++t) {
      threads[t] =
          new Thread(
              () -> {
                for (int i = 0; i < 200; ++i) if (codeOf(records, STATUS) == 0) good.incrementAndGet();
              });
      threads[t].start();
    }
    for (Thread thread : threads) thread.join();
    expect(good.get() == 800, "four threads are answered, one after the other");
    // A key that throws: nothing is sealed, and nothing falls over.
    device.signs = false;
    expect(codeOf(records, Call.newBuilder().setExchange(ExchangeCall.getDefaultInstance()).build()) == 45, "a key that throws is told as such");
    device.signs = true;
    expect(codeOf(records, STATUS) == 0, "and all goes on");
    records.close();
    records.close();
    try {
      records.call(STATUS);
      throw new AssertionError("a call on closed records was answered");
    } catch (IllegalStateException closed) {
      expect(closed.getMessage().contains("closed"), "said why");
    }
  }

  /** A device that enrols with a real hub, logs a person and brings it there. */
  static void hub(TestDevice device, String database, String url, String certificate, String code) throws Exception {
    KeyStore trusted = KeyStore.getInstance(KeyStore.getDefaultType());
    trusted.load(null);
    trusted.setCertificateEntry(
        "hub", CertificateFactory.getInstance("X.509").generateCertificate(new ByteArrayInputStream(Files.readAllBytes(Path.of(certificate)))));
    TrustManagerFactory trust = TrustManagerFactory.getInstance(TrustManagerFactory.getDefaultAlgorithm());
    trust.init(trusted);
    SSLContext tls = SSLContext.getInstance("TLSv1.3");
    tls.init(null, trust.getTrustManagers(), null);
    HttpClient http = HttpClient.newBuilder().sslContext(tls).version(HttpClient.Version.HTTP_1_1).build();
    byte[] enrolled = post(http, url + "/v1/enrol", Records.enrolRequest(device, code, "pool tablet of Java"), "");
    try (Records records = Records.create(device, database, enrolled, "pool tablet of Java")) {
      byte[] challenge = post(http, url + "/v1/session", records.sessionRequest(new byte[0]), "");
      byte[] nonce = SessionReply.parseFrom(challenge).getNonce().toByteArray();
      String token = SessionReply.parseFrom(post(http, url + "/v1/session", records.sessionRequest(nonce), "")).getToken();
      exchange(http, url, token, records);
      Reply people = records.call(Call.newBuilder().setList(wrackline.proto.ListCall.newBuilder().setKind(2)).build());
      expect(people.getList().getRecordsCount() == 1, "the hub's admin has come");
      var admin = people.getList().getRecords(0).getRecord();
      var keeper = wrackline.proto.Person.newBuilder().setName("Ines Valdor").addRoles(wrackline.proto.Role.ROLE_KEEPER).build();
      Reply logged =
          records.call(
              Call.newBuilder()
                  .setAuthor(admin)
                  .setLog(LogCall.newBuilder().addRecords(NewRecord.newBuilder().setKind(2).setFields(keeper.toByteString())))
                  .build());
      var record = logged.getLog().getRecords(0);
      expect(records.call(STATUS).getStatus().getUnsent() == 1, "it is only here so far");
      exchange(http, url, token, records);
      expect(records.call(STATUS).getStatus().getUnsent() == 0, "the hub holds it and has signed for it");
      Reply trail = records.call(Call.newBuilder().setTrail(wrackline.proto.TrailCall.newBuilder().setRecord(record)).build());
      expect(trail.getTrail().getEntriesCount() == 2, "the trail tells of name and role");
    }
  }

  static void exchange(HttpClient http, String url, String token, Records records) throws Exception {
    ByteString reply = ByteString.EMPTY;
    for (int round = 0; round < 20; ++round) {
      var step = records.call(Call.newBuilder().setExchange(ExchangeCall.newBuilder().setReply(reply)).build()).getExchange();
      if (step.getRequest().isEmpty()) return;
      reply = ByteString.copyFrom(post(http, url + "/v1/exchange", step.getRequest().toByteArray(), token));
    }
    throw new AssertionError("the exchange does not end");
  }

  static byte[] post(HttpClient http, String url, byte[] body, String token) throws Exception {
    var request = HttpRequest.newBuilder(URI.create(url)).header("Content-Type", "application/x-protobuf");
    if (!token.isEmpty()) request.header("Authorization", "Bearer " + token);
    var answer = http.send(request.POST(HttpRequest.BodyPublishers.ofByteArray(body)).build(), HttpResponse.BodyHandlers.ofByteArray());
    expect(answer.statusCode() == 200, url + " answered " + answer.statusCode());
    return answer.body();
  }

  public static void main(String[] args) throws Exception {
    TestDevice device = new TestDevice(Files.readAllBytes(Path.of(args[1])));
    switch (args[0]) {
      case "script" -> script(device, args[2], args[3], args[4]);
      case "misuse" -> misuse(device, args[2]);
      case "hub" -> hub(device, args[2], args[3], args[4], args[5]);
      default -> throw new IllegalArgumentException(args[0]);
    }
  }
}
