import org.wrackline.WracklineException;

/** The tests here judge their results by these. */
final class Expect {
  private Expect() {}

  interface Work {
    Object run() throws WracklineException;
  }

  static void that(boolean holds, String what) {
    if (!holds) throw new AssertionError(what);
  }

  /** The code of a failure; 0 when there was none. */
  static int codeOf(Work work) {
    try {
      work.run();
      return 0;
    } catch (WracklineException failed) {
      return failed.code();
    }
  }

  static void refused(Work work, String why) {
    try {
      work.run();
    } catch (IllegalStateException | IllegalArgumentException refused) {
      that(refused.getMessage().contains(why), "said why: " + refused.getMessage());
      return;
    } catch (WracklineException failed) {
      throw new AssertionError("asked of the core instead of refused", failed);
    }
    throw new AssertionError("not refused, as expected because of: " + why);
  }
}
