package org.wrackline;

/**
 * The app gives this to the core: this device's key and its clock. Called on the thread of the call that needs it; must not call the same {@link
 * Records}, nor wait for a thread that does. A call that throws counts as not done; a clock that throws stands in 1970. It must not hold the
 * records: as long as they are open they hold it, so that nobody would ever find them forgotten.
 */
public interface Device {
  /** The Ed25519 public key (RFC 8032), 32 bytes; the same for as long as the records are open. */
  byte[] publicKey();

  /** The 64 bytes of this key's signature over the text, or null when it cannot sign now. The private half stays where the platform keeps it best. */
  byte[] sign(byte[] text);

  /** Milliseconds since 1970 in UTC, as this device believes. */
  default long wallClockMs() {
    return System.currentTimeMillis();
  }

  /** Whether there is a place for {@link #readFence}, outside of what a backup of the database restores. */
  default boolean hasFence() {
    return false;
  }

  /** How far this device's log has gone: 20 bytes, or null when nothing was ever written. */
  default byte[] readFence() {
    return null;
  }

  /** False when it could not be written; work goes on. */
  default boolean writeFence(byte[] point) {
    return false;
  }
}
