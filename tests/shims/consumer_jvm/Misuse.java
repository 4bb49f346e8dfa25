import java.lang.ref.WeakReference;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.atomic.AtomicInteger;
import org.wrackline.Records;
import wrackline.proto.ExchangeCall;
import wrackline.proto.StatusCall;

/** An app may misuse the handle of its records in these ways. */
final class Misuse {
  private Misuse() {}

  static final StatusCall STATUS = StatusCall.getDefaultInstance();
  static final ExchangeCall EXCHANGE = ExchangeCall.getDefaultInstance();

  /** Waits for what another thread, or the garbage collector, does in its own time. */
  interface Seen {
    boolean isSo() throws Exception;
  }

  private static void await(Seen seen, String what) throws Exception {
    for (int i = 0; i < 3000 && !seen.isSo(); ++i) Thread.sleep(10);
    Expect.that(seen.isSo(), what);
  }

  static void handles(byte[] key, String database) throws Exception {
    TestDevice device = new TestDevice(key);
    Expect.that(Expect.codeOf(() -> Records.open(device, "/nonexistent/records.db")) == 20, "records that are not there are told as not found");
    TestDevice shortKey =
        new TestDevice(key) {
          @Override
          public byte[] publicKey() {
            return new byte[3];
          }
        };
    Expect.refused(() -> Records.open(shortKey, database), "32");
    Records records = Records.open(device, database);
    AtomicInteger good = new AtomicInteger();
    Thread[] threads = new Thread[4];
    for (int t = 0; t < threads.length; ++t) {
      threads[t] =
          new Thread(
              () -> {
                for (int i = 0; i < 200; ++i) if (Expect.codeOf(() -> records.status(STATUS)) == 0) good.incrementAndGet();
              });
      threads[t].start();
    }
    for (Thread thread : threads) thread.join();
    Expect.that(good.get() == 800, "four threads are answered, one after the other");
    records.close();
    records.close();
    Expect.refused(() -> records.status(STATUS), "closed");
    Expect.refused(() -> records.sessionRequest(new byte[0]), "closed");
  }

  /** One thread closes while another is in a call: it waits, and the call is answered. */
  static void closing(byte[] key, String database) throws Exception {
    CountDownLatch isSigning = new CountDownLatch(1), maySign = new CountDownLatch(1);
    TestDevice slow =
        new TestDevice(key) {
          @Override
          public byte[] sign(byte[] text) {
            isSigning.countDown();
            try {
              maySign.await();
            } catch (InterruptedException stopped) {
              return null;
            }
            return super.sign(text);
          }
        };
    Records records = Records.open(slow, database);
    AtomicInteger code = new AtomicInteger(-1);
    Thread calling = new Thread(() -> code.set(Expect.codeOf(() -> records.exchange(EXCHANGE))));
    calling.start();
    isSigning.await();
    Thread closing = new Thread(records::close);
    closing.start();
    await(() -> closing.getState() == Thread.State.BLOCKED, "closing waits for the call");
    maySign.countDown();
    calling.join();
    closing.join();
    Expect.that(code.get() == 0, "the call was answered: " + code.get());
    Expect.refused(() -> records.status(STATUS), "closed");
  }

  /** A device that calls, and closes, the records that are asking it. */
  static void reentering(byte[] key, String database) throws Exception {
    Records[] records = new Records[1];
    AtomicInteger refused = new AtomicInteger();
    TestDevice meddling =
        new TestDevice(key) {
          @Override
          public byte[] sign(byte[] text) {
            Expect.refused(() -> records[0].status(STATUS), "from the device");
            Expect.refused(
                () -> {
                  records[0].close();
                  return null;
                },
                "from the device");
            refused.incrementAndGet();
            return super.sign(text);
          }
        };
    records[0] = Records.open(meddling, database);
    Expect.that(Expect.codeOf(() -> records[0].exchange(EXCHANGE)) == 0, "the call that asked is answered");
    Expect.that(refused.get() > 0, "and what it was asked in between is refused");
    Expect.that(Expect.codeOf(() -> records[0].status(STATUS)) == 0, "the records are still open");
    records[0].close();
  }

  /** Records that nobody closes: the garbage collector does, and lets their device go. */
  static void forgetting(byte[] key, String database) throws Exception {
    WeakReference<TestDevice> device = forgotten(key, database);
    await(
        () -> {
          System.gc();
          return device.get() == null;
        },
        "records that nobody holds any more are closed");
  }

  private static WeakReference<TestDevice> forgotten(byte[] key, String database) throws Exception {
    TestDevice device = new TestDevice(key);
    Records.open(device, database).status(STATUS);
    return new WeakReference<>(device);
  }
}
