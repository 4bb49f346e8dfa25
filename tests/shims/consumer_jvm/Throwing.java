import com.google.protobuf.ByteString;
import org.wrackline.Records;
import wrackline.proto.Animal;
import wrackline.proto.ListCall;
import wrackline.proto.LogCall;
import wrackline.proto.NewRecord;

/** A device whose every method throws, or gives what is not asked for: calls are answered, and all goes on. Run with -Xcheck:jni. */
final class Throwing {
  private Throwing() {}

  private static final int KEY_DID_NOT_SIGN = 45;
  private static final int PERSON = 2, ANIMAL = 5; // Numbers of kinds, as in core/model/kinds.h.

  enum Fault {
    EXCEPTION,
    OUT_OF_MEMORY,
    TOO_SHORT,
    NOTHING,
    NONE
  }

  private static final class FaultyDevice extends TestDevice {
    Fault fault = Fault.NONE;
    int asked;

    FaultyDevice(byte[] key) throws Exception {
      super(key);
    }

    private byte[] faulty(byte[] right) {
      ++asked;
      switch (fault) {
        case EXCEPTION:
          throw new IllegalStateException("locked");
        case OUT_OF_MEMORY:
          throw new OutOfMemoryError("no heap");
        case TOO_SHORT:
          return new byte[3];
        case NOTHING:
          return null;
        default:
          return right;
      }
    }

    @Override
    public byte[] sign(byte[] text) {
      return faulty(super.sign(text));
    }

    @Override
    public long wallClockMs() {
      faulty(null);
      return super.wallClockMs();
    }

    @Override
    public boolean hasFence() {
      return true;
    }

    @Override
    public byte[] readFence() {
      return faulty(null);
    }

    @Override
    public boolean writeFence(byte[] point) {
      return faulty(point) == point;
    }
  }

  static void devices(byte[] key, String database) throws Exception {
    FaultyDevice device = new FaultyDevice(key);
    for (Fault fault : Fault.values()) {
      // A device may throw while the records are opened, too.
      device.fault = fault;
      try (Records records = Records.open(device, database)) {
        records.as(records.list(ListCall.newBuilder().setKind(PERSON).build()).getRecords(0).getRecord(), ByteString.EMPTY);
        int before = device.asked;
        int logged = Expect.codeOf(() -> records.log(animal(fault)));
        Expect.that(logged == 0, "a record is logged with a clock and a fence that fail: " + fault + " " + logged);
        Expect.that(device.asked >= before + 2, "by the clock and with the fence: " + fault);
        int code = Expect.codeOf(() -> records.exchange(Misuse.EXCHANGE));
        Expect.that(code == (fault == Fault.NONE ? 0 : KEY_DID_NOT_SIGN), "a key that fails is told as such: " + fault + " " + code);
        Expect.that(records.status(Misuse.STATUS).getChanges() > 0, "and all goes on");
      }
    }
  }

  /** A key that is there when it is looked at, and not when it is taken. */
  static void lostKey(byte[] key, String database) throws Exception {
    TestDevice device =
        new TestDevice(key) {
          private boolean wasSeen;

          @Override
          public byte[] publicKey() {
            if (wasSeen) throw new IllegalStateException("locked");
            wasSeen = true;
            return super.publicKey();
          }
        };
    Expect.that(Expect.codeOf(() -> Records.open(device, database)) == 21, "nothing is opened without a key");
  }

  private static LogCall animal(Fault fault) {
    Animal animal = Animal.newBuilder().setName("Nereid " + fault).build();
    return LogCall.newBuilder().addRecords(NewRecord.newBuilder().setKind(ANIMAL).setFields(animal.toByteString())).build();
  }
}
