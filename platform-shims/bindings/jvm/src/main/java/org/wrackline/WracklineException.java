package org.wrackline;

import wrackline.proto.Failure;

/** A call that failed. The message says what was being done, what was kept, and what to do next. */
public final class WracklineException extends Exception {
  private static final long serialVersionUID = 1;
  private final transient Failure failure;

  WracklineException(Failure failure) {
    super(failure.getMessage());
    this.failure = failure;
  }

  /** A number of core/base/error.h; it means the same in every release. */
  public int code() {
    return failure.getCode();
  }

  /** The whole of it; with code 25 the questions that are to be confirmed. */
  public Failure failure() {
    return failure;
  }
}
