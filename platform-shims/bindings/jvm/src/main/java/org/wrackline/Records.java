package org.wrackline;

import com.google.protobuf.ByteString;
import com.google.protobuf.InvalidProtocolBufferException;
import java.lang.ref.Cleaner;
import java.lang.ref.Reference;
import java.nio.charset.StandardCharsets;
import java.util.function.LongFunction;
import wrackline.proto.Call;
import wrackline.proto.Failure;
import wrackline.proto.Reply;

/**
 * One device's records: a database with its key, open until {@link #close}, or until nobody holds them any more. A reply to a call that
 * writes means that its changes are durable.
 *
 * <p>Threads: any; calls wait for each other, and so does close(). After close() every call throws IllegalStateException and touches
 * nothing; so does whatever a {@link Device} calls on the records that are asking it.
 */
public final class Records extends TypedCalls implements AutoCloseable {
  static {
    System.loadLibrary("wrackline_jni");
  }

  private static final Cleaner CLEANER = Cleaner.create();

  private final Core core;
  private final Cleaner.Cleanable end; // Closes it once.
  private boolean isInCall; // Seen by a Device on the thread of the call; others wait.

  /** The native side. Apart, since what the cleaner holds must not hold the records. */
  private static final class Core implements Runnable {
    private long handle; // 0 when closed.

    @Override
    public void run() {
      long was = handle;
      handle = 0;
      nativeClose(was);
    }
  }

  private Records(long handle) {
    core = new Core();
    core.handle = handle;
    end = CLEANER.register(this, core);
  }

  /** "0.1.0". */
  public static String version() {
    return new String(nativeVersion(), StandardCharsets.UTF_8);
  }

  /** Opens the database at the path. Code 20: there is none yet; enrol this device with its hub, then create it. */
  public static Records open(Device device, String path) throws WracklineException {
    return made(device, path, null, "");
  }

  /** Makes one from what the hub answered to the enrolment, byte for byte. */
  public static Records create(Device device, String path, byte[] enrolReply, String deviceName) throws WracklineException {
    if (enrolReply == null) throw new NullPointerException("enrolReply");
    return made(device, path, enrolReply, deviceName);
  }

  /** The body of POST /v1/enrol, for a one-time code of the hub. */
  public static byte[] enrolRequest(Device device, String code, String deviceName) throws WracklineException {
    boolean[] failed = new boolean[1];
    return requestBody(nativeEnrolRequest(checked(device), utf8(code), utf8(deviceName), failed), failed);
  }

  /** The bodies of POST /v1/session: without a nonce (an empty array), then with the one that was answered. */
  public synchronized byte[] sessionRequest(byte[] nonce) throws WracklineException {
    byte[] copy = nonce.clone();
    boolean[] failed = new boolean[1];
    return requestBody(inCall(handle -> nativeSessionRequest(handle, copy, failed)), failed);
  }

  /**
   * Takes another key for the hub's, 32 bytes, after a person has compared it with what an admin reads from the hub
   * (ExchangeStep.unknown_hub_key). Whatever fails changes nothing.
   */
  public synchronized void repin(byte[] hubKey) throws WracklineException {
    if (hubKey.length != 32) throw new IllegalArgumentException("a public key is 32 bytes");
    byte[] copy = hubKey.clone();
    byte[] answer = inCall(handle -> nativeRepin(handle, copy));
    if (answer == null || answer.length > 0) parsed(answer);
  }

  @Override
  public synchronized Reply call(Call call) throws WracklineException {
    byte[] bytes = call.toByteArray();
    return parsed(inCall(handle -> nativeCall(handle, bytes)));
  }

  @Override
  public synchronized void close() {
    if (isInCall) throw inItsOwnCall("closing");
    end.clean();
  }

  private byte[] inCall(LongFunction<byte[]> work) {
    if (isInCall) throw inItsOwnCall("calling");
    if (core.handle == 0) throw new IllegalStateException("these records are closed; nothing was done; open them again");
    isInCall = true;
    try {
      return work.apply(core.handle);
    } finally {
      isInCall = false;
      Reference.reachabilityFence(this); // Not before: the cleaner would close what the call is at.
    }
  }

  private static IllegalStateException inItsOwnCall(String what) {
    return new IllegalStateException(what + " the records from the device that they are asking; nothing was done; do it when the call has ended");
  }

  private static Device checked(Device device) {
    byte[] key = device.publicKey();
    if (key == null || key.length != 32) throw new IllegalArgumentException("a public key is 32 bytes");
    return device;
  }

  private static byte[] utf8(String text) {
    // The core's paths and names end at a zero.
    if (text.indexOf('\0') >= 0) throw new IllegalArgumentException("a text with a zero in it");
    return (text + '\0').getBytes(StandardCharsets.UTF_8);
  }

  private static Records made(Device device, String path, byte[] enrolReply, String deviceName) throws WracklineException {
    long[] handle = new long[1];
    parsed(nativeOpen(checked(device), utf8(path), enrolReply == null ? null : enrolReply.clone(), utf8(deviceName), handle));
    return new Records(handle[0]);
  }

  private static byte[] requestBody(byte[] answer, boolean[] failed) throws WracklineException {
    if (answer == null || failed[0]) parsed(answer);
    return answer;
  }

  private static Reply parsed(byte[] bytes) throws WracklineException {
    if (bytes == null) throw new OutOfMemoryError("for an answer of the core");
    Reply reply;
    try {
      reply = Reply.parseFrom(ByteString.copyFrom(bytes));
    } catch (InvalidProtocolBufferException unreadable) {
      throw new WracklineException(Failure.newBuilder().setCode(60).setMessage("calling the core: its answer is of another release").build());
    }
    if (reply.hasFailure()) throw new WracklineException(reply.getFailure());
    return reply;
  }

  private static native byte[] nativeVersion();

  private static native byte[] nativeOpen(Device device, byte[] path, byte[] enrolReply, byte[] deviceName, long[] handle);

  private static native byte[] nativeEnrolRequest(Device device, byte[] code, byte[] deviceName, boolean[] failed);

  private static native byte[] nativeSessionRequest(long handle, byte[] nonce, boolean[] failed);

  private static native byte[] nativeRepin(long handle, byte[] hubKey);

  private static native byte[] nativeCall(long handle, byte[] call);

  private static native void nativeClose(long handle);
}
