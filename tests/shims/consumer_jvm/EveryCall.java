import com.google.protobuf.ByteString;
import java.lang.reflect.InvocationTargetException;
import java.lang.reflect.Method;
import org.wrackline.Records;
import org.wrackline.WracklineException;
import wrackline.proto.Animal;
import wrackline.proto.Call;
import wrackline.proto.Confirmation;
import wrackline.proto.ListCall;
import wrackline.proto.LogCall;
import wrackline.proto.Measure;
import wrackline.proto.NewRecord;
import wrackline.proto.Quantity;
import wrackline.proto.RecordRef;
import wrackline.proto.Reply;

/** The typed calls: that there is one for each of proto/call.proto, and what they add to it. */
final class EveryCall {
  private EveryCall() {}

  private static final int PERSON = 2, ANIMAL = 5, MEASURE = 10; // Numbers of kinds, as in core/model/kinds.h.
  private static final int NOT_CONFIRMED = 25;

  private static String camelCase(Enum<?> field) {
    StringBuilder out = new StringBuilder();
    for (String word : field.name().split("_")) out.append(word.charAt(0)).append(word.substring(1).toLowerCase());
    return out.toString();
  }

  static void hasItsMethod(byte[] key, String database) throws Exception {
    int answered = 0;
    try (Records records = Records.open(new TestDevice(key), database)) {
      for (Call.WhatCase what : Call.WhatCase.values()) {
        if (what == Call.WhatCase.WHAT_NOT_SET) continue;
        String name = camelCase(what);
        Class<?> asked = Call.class.getMethod("get" + name).getReturnType();
        Method method = Records.class.getMethod(name.substring(0, 1).toLowerCase() + name.substring(1), asked);
        Object question = asked.getMethod("getDefaultInstance").invoke(null);
        // The answer is the part of the reply that the core sets, where a call of nothing has one.
        Call.Builder call = Call.newBuilder();
        Call.Builder.class.getMethod("set" + name, asked).invoke(call, question);
        Reply reply;
        try {
          reply = records.call(call.build());
        } catch (WracklineException failed) {
          Expect.that(failed.code() == codeOf(method, records, question), name + " fails as the same call untyped");
          continue;
        }
        Class<?> answer = Reply.class.getMethod("get" + camelCase(reply.getWhatCase())).getReturnType();
        Expect.that(method.getReturnType() == answer, name + " answers with " + answer.getSimpleName());
        Expect.that(codeOf(method, records, question) == 0, name + " is answered");
        ++answered;
      }
    }
    Expect.that(answered >= 10, "some calls of nothing are answered: " + answered);
  }

  private static int codeOf(Method method, Records records, Object question) throws IllegalAccessException {
    try {
      method.invoke(records, question);
      return 0;
    } catch (InvocationTargetException thrown) {
      if (thrown.getCause() instanceof WracklineException) return ((WracklineException) thrown.getCause()).code();
      throw new AssertionError(method.getName(), thrown.getCause());
    }
  }

  /** A question stays with the next call that writes, whatever is read in between, and with no other. */
  static void confirms(byte[] key, String database) throws Exception {
    try (Records records = Records.open(new TestDevice(key), database)) {
      Animal nereid = Animal.newBuilder().setName("Nereid").build();
      Expect.that(Expect.codeOf(() -> records.log(one(ANIMAL, nereid.toByteString()))) == 21, "nobody is signed in, so nothing is logged");
      records.as(records.list(ListCall.newBuilder().setKind(PERSON).build()).getRecords(0).getRecord(), ByteString.EMPTY);
      RecordRef animal = records.log(one(ANIMAL, nereid.toByteString())).getRecords(0);
      Measure inAHundredYears =
          Measure.newBuilder().setAnimal(animal).setDay(57_000).setHappenedMs(57_000L * 86_400_000).setUtcOffsetMin(0)
              .setQuantity(Quantity.QUANTITY_MASS).setValue(84_300_000).build();
      LogCall measured = one(MEASURE, inAHundredYears.toByteString());
      try {
        records.log(measured);
        throw new AssertionError("a measurement of the future was not asked about");
      } catch (WracklineException asked) {
        Expect.that(asked.code() == NOT_CONFIRMED && asked.failure().getQuestionsCount() > 0, "asked: " + asked.getMessage());
        records.confirm(Confirmation.newBuilder().addAllQuestions(asked.failure().getQuestionsList()).setBecause("a test").build());
      }
      records.status(Misuse.STATUS);
      Expect.that(records.log(measured).getRecordsCount() == 1, "what was confirmed is written");
      Expect.that(Expect.codeOf(() -> records.log(measured)) == NOT_CONFIRMED, "and the next is asked about anew");
    }
  }

  private static LogCall one(int kind, ByteString fields) {
    return LogCall.newBuilder().addRecords(NewRecord.newBuilder().setKind(kind).setFields(fields)).build();
  }
}
