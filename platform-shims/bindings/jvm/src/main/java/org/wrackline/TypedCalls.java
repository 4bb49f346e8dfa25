package org.wrackline;

import com.google.protobuf.ByteString;
import wrackline.proto.*;

/**
 * The calls of proto/call.proto by their names: each is {@link Records#call} with the part of the reply that answers it, or throws the
 * failure.
 */
abstract class TypedCalls {
  private RecordRef author;
  private ByteString session = ByteString.EMPTY;
  private Confirmation confirmed;

  TypedCalls() {}

  /** Any call, as it is. */
  public abstract Reply call(Call call) throws WracklineException;

  /**
   * In whose name the writing calls below are, and the token of their session ({@link SignInReply}; empty: none); until it is
   * said anew. One of several threads says it: the name belongs to these records, not to a thread.
   */
  public synchronized void as(RecordRef author, ByteString session) {
    this.author = author;
    this.session = session;
  }

  /** With what the next call that is written in somebody's name is confirmed: the questions that the one before was refused with. */
  public synchronized void confirm(Confirmation confirmation) {
    confirmed = confirmation;
  }

  public StatusReply status(StatusCall asked) throws WracklineException {
    return call(begin().setStatus(asked).build()).getStatus();
  }

  public LogReply log(LogCall asked) throws WracklineException {
    return call(beginWrite().setLog(asked).build()).getLog();
  }

  public EditReply edit(EditCall asked) throws WracklineException {
    return call(beginWrite().setEdit(asked).build()).getEdit();
  }

  public EditReply strike(StrikeCall asked) throws WracklineException {
    return call(beginWrite().setStrike(asked).build()).getEdit();
  }

  public EditReply fold(FoldCall asked) throws WracklineException {
    return call(beginWrite().setFold(asked).build()).getEdit();
  }

  public EditReply accept(AcceptCall asked) throws WracklineException {
    return call(beginWrite().setAccept(asked).build()).getEdit();
  }

  public GetReply get(GetCall asked) throws WracklineException {
    return call(begin().setGet(asked).build()).getGet();
  }

  public ListReply list(ListCall asked) throws WracklineException {
    return call(begin().setList(asked).build()).getList();
  }

  public TrailReply trail(TrailCall asked) throws WracklineException {
    return call(begin().setTrail(asked).build()).getTrail();
  }

  public TrailSearchReply trailSearch(TrailSearchCall asked) throws WracklineException {
    return call(begin().setTrailSearch(asked).build()).getTrailSearch();
  }

  public ReviewReply review(ReviewCall asked) throws WracklineException {
    return call(begin().setReview(asked).build()).getReview();
  }

  public ReviewDetailReply reviewDetail(ReviewDetailCall asked) throws WracklineException {
    return call(begin().setReviewDetail(asked).build()).getReviewDetail();
  }

  public HeldReply held(HeldCall asked) throws WracklineException {
    return call(begin().setHeld(asked).build()).getHeld();
  }

  public IntakeReply intake(IntakeCall asked) throws WracklineException {
    return call(begin().setIntake(asked).build()).getIntake();
  }

  public IntakeTrendReply intakeTrend(IntakeTrendCall asked) throws WracklineException {
    return call(begin().setIntakeTrend(asked).build()).getIntakeTrend();
  }

  public CollectionDayReply collectionDay(CollectionDayCall asked) throws WracklineException {
    return call(begin().setCollectionDay(asked).build()).getCollectionDay();
  }

  public ExchangeStep exchange(ExchangeCall asked) throws WracklineException {
    return call(begin().setExchange(asked).build()).getExchange();
  }

  public BundleExportReply bundleExport(BundleExportCall asked) throws WracklineException {
    return call(begin().setBundleExport(asked).build()).getBundleExport();
  }

  public BundleImportReply bundleImport(BundleImportCall asked) throws WracklineException {
    return call(begin().setBundleImport(asked).build()).getBundleImport();
  }

  public VerifyReply verify(VerifyCall asked) throws WracklineException {
    return call(begin().setVerify(asked).build()).getVerify();
  }

  public RebuildReply rebuild(RebuildCall asked) throws WracklineException {
    return call(begin().setRebuild(asked).build()).getRebuild();
  }

  public DigestReply digest(DigestCall asked) throws WracklineException {
    return call(begin().setDigest(asked).build()).getDigest();
  }

  public RoundReply round(RoundCall asked) throws WracklineException {
    return call(begin().setRound(asked).build()).getRound();
  }

  public PrepReply prep(PrepCall asked) throws WracklineException {
    return call(begin().setPrep(asked).build()).getPrep();
  }

  public SubstituteReply substitute(SubstituteCall asked) throws WracklineException {
    return call(begin().setSubstitute(asked).build()).getSubstitute();
  }

  public DoseCheckReply doseCheck(DoseCheckCall asked) throws WracklineException {
    return call(begin().setDoseCheck(asked).build()).getDoseCheck();
  }

  public EnrichmentReply enrichment(EnrichmentCall asked) throws WracklineException {
    return call(begin().setEnrichment(asked).build()).getEnrichment();
  }

  public TrainingReply training(TrainingCall asked) throws WracklineException {
    return call(begin().setTraining(asked).build()).getTraining();
  }

  public BodyReply body(BodyCall asked) throws WracklineException {
    return call(begin().setBody(asked).build()).getBody();
  }

  public ScanReply scan(ScanCall asked) throws WracklineException {
    return call(begin().setScan(asked).build()).getScan();
  }

  public AttentionReply attention(AttentionCall asked) throws WracklineException {
    return call(begin().setAttention(asked).build()).getAttention();
  }

  public WaterReply water(WaterCall asked) throws WracklineException {
    return call(begin().setWater(asked).build()).getWater();
  }

  public StockReply stock(StockCall asked) throws WracklineException {
    return call(begin().setStock(asked).build()).getStock();
  }

  public EvidenceReply evidence(EvidenceCall asked) throws WracklineException {
    return call(begin().setEvidence(asked).build()).getEvidence();
  }

  public SignInReply signIn(SignInCall asked) throws WracklineException {
    return call(begin().setSignIn(asked).build()).getSignIn();
  }

  public SignOutReply signOut(SignOutCall asked) throws WracklineException {
    return call(begin().setSignOut(asked).build()).getSignOut();
  }

  public ProveReply prove(ProveCall asked) throws WracklineException {
    return call(begin().setProve(asked).build()).getProve();
  }

  public ReportReply report(ReportCall asked) throws WracklineException {
    return call(begin().setReport(asked).build()).getReport();
  }

  public CsvReply csv(CsvCall asked) throws WracklineException {
    return call(begin().setCsv(asked).build()).getCsv();
  }

  public AuthorizeReply authorize(AuthorizeCall asked) throws WracklineException {
    return call(begin().setAuthorize(asked).build()).getAuthorize();
  }

  public DayCloseReply dayClose(DayCloseCall asked) throws WracklineException {
    return call(beginWrite().setDayClose(asked).build()).getDayClose();
  }

  public ClosesReply closes(ClosesCall asked) throws WracklineException {
    return call(begin().setCloses(asked).build()).getCloses();
  }

  public ChangedReply changed(ChangedCall asked) throws WracklineException {
    return call(begin().setChanged(asked).build()).getChanged();
  }

  public NewsStep news(NewsCall asked) throws WracklineException {
    return call(begin().setNews(asked).build()).getNews();
  }

  private synchronized Call.Builder begin() {
    Call.Builder out = Call.newBuilder().setSession(session);
    return author == null ? out : out.setAuthor(author);
  }

  private synchronized Call.Builder beginWrite() {
    Call.Builder out = begin();
    if (confirmed != null) out.setConfirmed(confirmed);
    confirmed = null;
    return out;
  }
}
