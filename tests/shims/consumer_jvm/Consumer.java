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
import java.security.KeyStore;
import java.security.MessageDigest;
import java.security.cert.CertificateFactory;
import javax.net.ssl.SSLContext;
import javax.net.ssl.TrustManagerFactory;
import org.wrackline.Records;
import org.wrackline.WracklineException;
import wrackline.proto.AuthorizeCall;
import wrackline.proto.Call;
import wrackline.proto.ExchangeCall;
import wrackline.proto.ListCall;
import wrackline.proto.LogCall;
import wrackline.proto.NewRecord;
import wrackline.proto.Person;
import wrackline.proto.Reply;
import wrackline.proto.Role;
import wrackline.proto.SessionReply;
import wrackline.proto.TrailCall;

/** A program of another project, in Java; each mode is one test of run.sh. */
public final class Consumer {
  private static final int PERSON = 2; // Numbers of kinds, as in core/model/kinds.h.

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
      var people = records.list(ListCall.newBuilder().setKind(PERSON).build());
      Expect.that(people.getRecordsCount() == 1, "the hub's admin has come");
      records.as(people.getRecords(0).getRecord(), ByteString.EMPTY);
      var keeper = Person.newBuilder().setName("Ines Valdor").addRoles(Role.ROLE_KEEPER).build();
      var fields = NewRecord.newBuilder().setKind(PERSON).setFields(keeper.toByteString());
      var record = records.log(LogCall.newBuilder().addRecords(fields).build()).getRecords(0);
      Expect.that(records.status(Misuse.STATUS).getUnsent() == 1, "it is only here so far");
      exchange(http, url, token, records);
      Expect.that(records.status(Misuse.STATUS).getUnsent() == 0, "the hub holds it and has signed for it");
      var trail = records.trail(TrailCall.newBuilder().setRecord(record).build());
      Expect.that(trail.getEntriesCount() == 2, "the trail tells of name and role");
    }
  }

  static void exchange(HttpClient http, String url, String token, Records records) throws Exception {
    ByteString reply = ByteString.EMPTY;
    for (int round = 0; round < 20; ++round) {
      var step = records.exchange(ExchangeCall.newBuilder().setReply(reply).build());
      if (step.getRequest().isEmpty()) return;
      byte[] request = step.getRequest().toByteArray();
      reply = ByteString.copyFrom(post(http, url + "/v1/exchange", request, authorization(records, token, request)));
    }
    throw new AssertionError("the exchange does not end");
  }

  /** The header that shows that this device asks. */
  static String authorization(Records records, String token, byte[] body) throws Exception {
    byte[] hash = MessageDigest.getInstance("SHA-256").digest(body);
    var call = AuthorizeCall.newBuilder().setToken(token).setMethod("POST").setPath("/v1/exchange").setBodySha256(ByteString.copyFrom(hash));
    return records.authorize(call.build()).getHeader();
  }

  static byte[] post(HttpClient http, String url, byte[] body, String authorization) throws Exception {
    var request = HttpRequest.newBuilder(URI.create(url)).header("Content-Type", "application/x-protobuf");
    if (!authorization.isEmpty()) request.header("Authorization", authorization);
    var answer = http.send(request.POST(HttpRequest.BodyPublishers.ofByteArray(body)).build(), HttpResponse.BodyHandlers.ofByteArray());
    Expect.that(answer.statusCode() == 200, url + " answered " + answer.statusCode());
    return answer.body();
  }

  public static void main(String[] args) throws Exception {
    byte[] key = Files.readAllBytes(Path.of(args[1]));
    String database = args[2];
    switch (args[0]) {
      case "script" -> script(new TestDevice(key), database, args[3], args[4]);
      case "every-call" -> EveryCall.hasItsMethod(key, database);
      case "confirming" -> EveryCall.confirms(key, database);
      case "handles" -> Misuse.handles(key, database);
      case "closing" -> Misuse.closing(key, database);
      case "reentering" -> Misuse.reentering(key, database);
      case "forgetting" -> Misuse.forgetting(key, database);
      case "throwing" -> Throwing.devices(key, database);
      case "lost-key" -> Throwing.lostKey(key, database);
      case "hub" -> hub(new TestDevice(key), database, args[3], args[4], args[5]);
      default -> throw new IllegalArgumentException(args[0]);
    }
  }
}
