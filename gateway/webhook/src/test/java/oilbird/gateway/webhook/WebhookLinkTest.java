package oilbird.gateway.webhook;

import static org.assertj.core.api.Assertions.assertThat;

import io.cloudevents.CloudEvent;
import io.vertx.core.Vertx;
import java.io.InputStream;
import java.net.URI;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.security.KeyStore;
import java.time.Duration;
import java.util.ArrayList;
import java.util.Base64;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Set;
import java.util.SplittableRandom;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.ConcurrentHashMap;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.AtomicInteger;
import javax.crypto.Mac;
import javax.crypto.spec.SecretKeySpec;
import javax.net.ssl.KeyManagerFactory;
import javax.net.ssl.SSLContext;
import oilbird.alarm.rule.RuleInstance;
import oilbird.alarm.state.Actor;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.AlarmInput;
import oilbird.alarm.station.StationEvent;
import oilbird.alarm.station.StationInput;
import oilbird.gateway.contract.Forms;
import oilbird.gateway.engine.clock.SystemGatewayClock;
import oilbird.gateway.engine.clock.WallTrust;
import oilbird.gateway.engine.outbox.LinkRunner;
import oilbird.gateway.engine.outbox.LinkState;
import oilbird.gateway.engine.record.RecordedEvent;
import oilbird.gateway.engine.writer.ActResult;
import oilbird.gateway.engine.writer.StationEngine;
import oilbird.gateway.engine.writer.WriterSettings;
import oilbird.gateway.station.SecretSource;
import oilbird.gateway.station.Station;
import oilbird.gateway.station.StationFolder;
import oilbird.gateway.station.WebhookLinkSettings;
import org.awaitility.Awaitility;
import org.jspecify.annotations.Nullable;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** The whole way from the engine to a real web server that fails, delays, cuts connections, refuses and comes back. */
class WebhookLinkTest {
    private static final Duration SOON = Duration.ofSeconds(60);
    private static final Actor OPERATOR = new Actor("A. Tester", "rest");
    private static final byte[] KEY = "a secret of exactly 32 bytes....".getBytes(StandardCharsets.US_ASCII);

    @TempDir
    Path folder = Path.of("");

    private final Station station =
            StationFolder.load(Path.of("../../deploy/demo-station")).result().orElseThrow();
    private final SystemGatewayClock clock = new SystemGatewayClock(WallTrust.ordinary());
    private final Vertx vertx = Vertx.vertx();
    private Path secret = Path.of("");

    @BeforeEach
    void aSecret() throws Exception {
        secret = folder.resolve("desk.secret");
        Files.writeString(secret, "whsec_" + Base64.getEncoder().encodeToString(KEY) + "\n");
    }

    @AfterEach
    void stopVertx() throws Exception {
        vertx.close().toCompletionStage().toCompletableFuture().get(20, TimeUnit.SECONDS);
    }

    private StationEngine engine(String url, Duration deadline, @Nullable Path certificates) throws Exception {
        StationEngine engine = StationEngine.open(
                station.model(),
                station.model().facts().gateway(),
                folder.resolve("data"),
                clock,
                WriterSettings.DEFAULT);
        WebhookLinkSettings settings = new WebhookLinkSettings(
                "desk", "desk", URI.create(url), new SecretSource("desk.secret", null), deadline, certificates);
        engine.addLink(
                new WebhookLink(
                        settings,
                        folder,
                        CompletableFuture.completedFuture(vertx),
                        new Forms(station.model(), station.owner()),
                        () -> Objects.requireNonNull(engine.writer().view()),
                        clock,
                        null,
                        Duration.ZERO,
                        System::nanoTime),
                new LinkRunner.Settings(
                        WebhookLink.running(settings).window(),
                        WebhookLink.running(settings).confirmation(),
                        Duration.ofMillis(20),
                        Duration.ofMillis(100),
                        Duration.ofMillis(100)));
        engine.start();
        return engine;
    }

    private StationEngine engine(Desk desk) throws Exception {
        return engine("http://127.0.0.1:" + desk.port() + "/oilbird", Duration.ofMillis(500), null);
    }

    private List<AlarmId> alarms(int count) {
        return station.model().rules().stream()
                .map(RuleInstance::id)
                .filter(id -> id.asset().equals("t1"))
                .limit(count)
                .toList();
    }

    /** Each act is one event, durable when this returns. */
    private void comment(StationEngine engine, AlarmId alarm, String text) {
        assertThat(engine.acts()
                        .act(new StationInput.Act(alarm, new AlarmInput.Comment(OPERATOR, text, null, clock.now())))
                        .join())
                .isInstanceOf(ActResult.Done.class);
    }

    private static LinkState link(StationEngine engine) {
        return engine.links().get(0);
    }

    private static void awaitAllConfirmed(StationEngine engine) {
        Awaitility.await("everything is confirmed")
                .atMost(SOON)
                .until(() -> link(engine).waiting() == 0);
    }

    private static List<String> recorded(StationEngine engine) {
        return engine.record().after(0, 10_000).stream()
                .map(e -> e.event().id().toString())
                .toList();
    }

    @Test
    void anEventIsACloudEventThatTheSdkReadsAndWhoseSignatureAReceiverCanCheck() throws Exception {
        try (Desk desk = new Desk(null);
                StationEngine engine = engine(desk)) {
            comment(engine, alarms(1).get(0), "valve?");
            awaitAllConfirmed(engine);

            Desk.Arrival arrival = desk.taken().stream()
                    .filter(a -> a.event().getType().equals("oilbird.alarm-event.v1"))
                    .findFirst()
                    .orElseThrow();
            CloudEvent event = arrival.event();
            RecordedEvent recorded = engine.record().after(0, 100).stream()
                    .filter(e -> e.event() instanceof StationEvent.OfAlarm)
                    .findFirst()
                    .orElseThrow();
            assertThat(event.getSpecVersion().toString()).isEqualTo("1.0");
            assertThat(event.getId())
                    .isEqualTo(recorded.event().id().toString())
                    .isEqualTo(arrival.id());
            assertThat(event.getSource()).isEqualTo(URI.create("urn:oilbird:gateway:windlow-gw1"));
            assertThat(event.getSubject()).isEqualTo(alarms(1).get(0).toString());
            assertThat(event.getDataContentType()).isEqualTo("application/json");
            assertThat(event.getDataSchema()).isEqualTo(URI.create("urn:oilbird:schema:alarm-event:1"));
            assertThat(Objects.requireNonNull(event.getTime()).toInstant().toEpochMilli())
                    .isEqualTo(recorded.event().at().wallMillis());
            assertThat(event.getExtension("sequence")).isEqualTo("%019d".formatted(recorded.position()));
            assertThat(new String(Objects.requireNonNull(event.getData()).toBytes(), StandardCharsets.UTF_8))
                    .contains("\"form\":\"oilbird.alarm-event/1\"")
                    .contains("\"text\":\"valve?\"");

            // Written out as the specification has it, not with the class under test.
            Mac mac = Mac.getInstance("HmacSHA256");
            mac.init(new SecretKeySpec(KEY, "HmacSHA256"));
            mac.update((arrival.id() + "." + arrival.timestamp() + ".").getBytes(StandardCharsets.UTF_8));
            assertThat(arrival.signature())
                    .isEqualTo("v1," + Base64.getEncoder().encodeToString(mac.doFinal(arrival.body())));
            assertThat(Math.abs(arrival.timestamp() - System.currentTimeMillis() / 1000))
                    .as("seconds between the two clocks")
                    .isLessThan(300);
        }
    }

    /** Manners by a seed: half of all requests go wrong, each in another way. */
    @Test
    void everyEventComesThroughAServerThatFailsDelaysAndCutsInOrderOfEachAlarm() throws Exception {
        SplittableRandom random = new SplittableRandom(20261125);
        CountDownLatch end = new CountDownLatch(1);
        try (Desk desk = new Desk(null);
                StationEngine engine = engine(desk)) {
            desk.behave(event -> {
                int chance;
                synchronized (random) {
                    chance = random.nextInt(100);
                }
                if (chance < 4) {
                    // Longer than the deadline: the link gives up waiting, not the event.
                    end.await(700, TimeUnit.MILLISECONDS);
                    return 204;
                }
                return chance < 60 ? 202 : chance < 75 ? 503 : chance < 85 ? 500 : chance < 93 ? 0 : -1;
            });
            List<AlarmId> alarms = alarms(4);
            for (int i = 0; i < 100; i++) {
                comment(engine, alarms.get(i % 4), "comment " + i);
                if (i == 50) {
                    desk.stop();
                    Awaitility.await("the link is known to be down")
                            .atMost(SOON)
                            .until(() -> link(engine).condition() == LinkState.Condition.DOWN);
                    desk.startAgain();
                }
            }
            awaitAllConfirmed(engine);
            end.countDown();

            assertThat(link(engine).skipped()).isZero();
            Map<String, List<String>> firstArrivals = new LinkedHashMap<>();
            Set<String> seen = new LinkedHashSet<>();
            for (Desk.Arrival arrival : desk.taken()) {
                if (seen.add(arrival.event().getId())) {
                    firstArrivals
                            .computeIfAbsent(String.valueOf(arrival.event().getSubject()), a -> new ArrayList<>())
                            .add(String.valueOf(arrival.event().getExtension("sequence")));
                }
            }
            assertThat(seen)
                    .as("each recorded event and no other")
                    .containsExactlyInAnyOrderElementsOf(recorded(engine));
            assertThat(alarms)
                    .allSatisfy(alarm -> assertThat(firstArrivals.get(alarm.toString()))
                            .as("in order of " + alarm)
                            .hasSize(25)
                            .isSorted());
            assertThat(desk.arrivals().size())
                    .as("things did go wrong")
                    .isGreaterThan(recorded(engine).size());
        }
    }

    @Test
    void anEventThatIsRefusedForGoodIsPassedOverToldAndAlarmed() throws Exception {
        try (Desk desk = new Desk(null);
                StationEngine engine = engine(desk)) {
            desk.behave(event -> text(event).contains("\"text\":\"poison\"") ? 422 : 204);
            comment(engine, alarms(2).get(0), "poison");
            comment(engine, alarms(2).get(0), "after it, same alarm");

            awaitAllConfirmed(engine);
            Awaitility.await("notice and alarm come through too")
                    .atMost(SOON)
                    .untilAsserted(() -> assertThat(desk.taken().stream().map(a -> text(a.event())))
                            .anyMatch(t -> t.contains("after it, same alarm"))
                            .anyMatch(t -> t.contains("event-refused") && t.contains("answered 422"))
                            .anyMatch(t -> t.contains("\"alarm\":\"gateway/gateway.events-refused\"")
                                    && t.contains("\"kind\":\"raised\"")));
            assertThat(link(engine).skipped()).isEqualTo(1);
            assertThat(desk.arrivals().stream()
                            .filter(a -> a.status() == 422)
                            .map(Desk.Arrival::id)
                            .distinct())
                    .hasSize(1);
        }
    }

    @Test
    void aServerThatRefusesEvenTheNoticeOfItsRefusalIsNotToldOfThatForEver() throws Exception {
        try (Desk desk = new Desk(null);
                StationEngine engine = engine(desk)) {
            desk.behave(event -> 400);
            comment(engine, alarms(1).get(0), "one");
            Awaitility.await("the alarm about it was refused too")
                    .atMost(SOON)
                    .until(() -> desk.arrivals().stream()
                            .anyMatch(a -> text(a.event()).contains("events-refused\"")
                                    && text(a.event()).contains("alarm-event")));
            awaitAllConfirmed(engine);
            comment(engine, alarms(1).get(0), "two");
            awaitAllConfirmed(engine);
            assertThat(recorded(engine).size()).as("a handful").isLessThan(30);
            assertThat(link(engine).skipped())
                    .isEqualTo(desk.arrivals().stream()
                            .map(Desk.Arrival::id)
                            .distinct()
                            .count());
        }
    }

    @Test
    void anEventOnWhichTheServerFailsHoldsUpTheOthersOnlyForTheStatedTime() throws Exception {
        Map<String, AtomicInteger> tries = new ConcurrentHashMap<>();
        try (Desk desk = new Desk(null);
                StationEngine engine = engine(desk)) {
            desk.behave(event -> {
                tries.computeIfAbsent(event.getId(), id -> new AtomicInteger()).incrementAndGet();
                return text(event).contains("\"text\":\"indigestible\"") ? 500 : 204;
            });
            comment(engine, alarms(2).get(0), "indigestible");
            comment(engine, alarms(2).get(1), "of another alarm");
            awaitAllConfirmed(engine);
            assertThat(link(engine).skipped()).isEqualTo(1);
            assertThat(tries.values().stream()
                            .mapToInt(AtomicInteger::get)
                            .max()
                            .orElse(0))
                    .as("ten times at least")
                    .isGreaterThanOrEqualTo(10);
        }
    }

    private static String text(CloudEvent event) {
        return new String(Objects.requireNonNull(event.getData()).toBytes(), StandardCharsets.UTF_8);
    }

    @Test
    void aWrongAddressOrAMissingPermissionLosesNothing() throws Exception {
        try (Desk desk = new Desk(null);
                StationEngine engine = engine(desk)) {
            desk.behave(event -> 401);
            comment(engine, alarms(1).get(0), "kept");
            Awaitility.await("the link says why it is down")
                    .atMost(SOON)
                    .until(() -> String.valueOf(link(engine).lastError()).contains("answered 401"));
            assertThat(link(engine).skipped()).isZero();
            desk.behave(event -> 204);
            awaitAllConfirmed(engine);
            assertThat(desk.taken().stream().map(a -> text(a.event()))).anyMatch(t -> t.contains("kept"));
        }
    }

    @Test
    void aServerThatAsksForTimeGetsIt() throws Exception {
        try (Desk desk = new Desk(null);
                StationEngine engine = engine(desk)) {
            desk.asksToWait("2");
            desk.behave(event -> 429);
            Awaitility.await("it was asked to wait")
                    .atMost(SOON)
                    .until(() -> String.valueOf(link(engine).lastError()).contains("asked not to be asked"));
            desk.asksToWait(null);
            desk.behave(event -> 204);
            awaitAllConfirmed(engine);
            assertThat(desk.arrivals().stream().filter(a -> a.status() == 429).count())
                    .as("not once in each of the forty back-offs that fit into two seconds")
                    .isLessThanOrEqualTo(WebhookLink.running(settings()).window());
        }
    }

    private WebhookLinkSettings settings() {
        return new WebhookLinkSettings(
                "desk",
                "desk",
                URI.create("http://127.0.0.1/"),
                new SecretSource("desk.secret", null),
                Duration.ofSeconds(1),
                null);
    }

    @Test
    void aMissingOrWrongSecretIsSaidWithoutTheSecretAndItsRepairNeedsNoRestart() throws Exception {
        Files.writeString(secret, "whsec_not*base64*at*all*but*secret");
        try (Desk desk = new Desk(null);
                StationEngine engine = engine(desk)) {
            Awaitility.await("the link says what is wrong")
                    .atMost(SOON)
                    .until(() -> String.valueOf(link(engine).lastError()).contains("not base64"));
            assertThat(String.valueOf(link(engine).lastError())).doesNotContain("secret*", "*at*all");
            Files.delete(secret);
            Awaitility.await("the link says where the secret should be")
                    .atMost(SOON)
                    .until(() -> String.valueOf(link(engine).lastError()).contains(secret.toString()));
            aSecret();
            awaitAllConfirmed(engine);
            assertThat(desk.taken()).isNotEmpty();
        }
    }

    @Test
    void overTlsOnlyAServerWithATrustedCertificateForItsNameGetsEvents() throws Exception {
        Path keys = folder.resolve("desk.p12");
        Path certificate = folder.resolve("desk.pem");
        keytool(
                "-genkeypair",
                "-alias",
                "desk",
                "-keyalg",
                "EC",
                "-dname",
                "CN=desk",
                "-ext",
                "SAN=IP:127.0.0.1",
                "-keystore",
                keys.toString(),
                "-storetype",
                "PKCS12",
                "-storepass",
                "changeit");
        keytool(
                "-exportcert",
                "-rfc",
                "-alias",
                "desk",
                "-keystore",
                keys.toString(),
                "-storepass",
                "changeit",
                "-file",
                certificate.toString());
        try (Desk desk = new Desk(tls(keys))) {
            String url = "https://127.0.0.1:" + desk.port() + "/oilbird";
            try (StationEngine engine = engine(url, Duration.ofSeconds(5), null)) {
                Awaitility.await("the certificate is not trusted")
                        .atMost(SOON)
                        .until(() -> String.valueOf(link(engine).lastError()).contains("certification path"));
                assertThat(desk.arrivals()).isEmpty();
            }
            try (StationEngine engine =
                    engine(url.replace("127.0.0.1", "localhost"), Duration.ofSeconds(5), certificate)) {
                Awaitility.await("the certificate is another name's")
                        .atMost(SOON)
                        .until(() -> String.valueOf(link(engine).lastError()).contains("localhost"));
                assertThat(desk.arrivals()).isEmpty();
            }
            try (StationEngine engine = engine(url, Duration.ofSeconds(5), certificate)) {
                awaitAllConfirmed(engine);
                assertThat(desk.taken()).isNotEmpty();
            }
        }
    }

    private static SSLContext tls(Path keys) throws Exception {
        KeyStore store = KeyStore.getInstance("PKCS12");
        try (InputStream in = Files.newInputStream(keys)) {
            store.load(in, "changeit".toCharArray());
        }
        KeyManagerFactory managers = KeyManagerFactory.getInstance(KeyManagerFactory.getDefaultAlgorithm());
        managers.init(store, "changeit".toCharArray());
        SSLContext context = SSLContext.getInstance("TLS");
        context.init(managers.getKeyManagers(), null, null);
        return context;
    }

    private static void keytool(String... words) throws Exception {
        List<String> command = new ArrayList<>();
        command.add(Path.of(System.getProperty("java.home"), "bin", "keytool").toString());
        command.addAll(List.of(words));
        Process process = new ProcessBuilder(command)
                .redirectErrorStream(true)
                .redirectOutput(ProcessBuilder.Redirect.DISCARD)
                .start();
        assertThat(process.waitFor(60, TimeUnit.SECONDS)).isTrue();
        assertThat(process.exitValue()).isZero();
    }
}
