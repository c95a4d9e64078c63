package oilbird.gateway.webhook;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import io.vertx.core.Vertx;
import java.io.IOException;
import java.io.UncheckedIOException;
import java.net.URI;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.Base64;
import java.util.HashSet;
import java.util.List;
import java.util.Objects;
import java.util.Optional;
import java.util.Set;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.TimeUnit;
import oilbird.alarm.state.AlarmId;
import oilbird.gateway.engine.outbox.Link;
import oilbird.gateway.engine.outbox.LinkRunner;
import oilbird.gateway.engine.outbox.contract.LinkContract;
import oilbird.gateway.engine.outbox.contract.Peer;
import oilbird.gateway.engine.outbox.contract.Surroundings;
import oilbird.gateway.engine.outbox.contract.Wire;
import oilbird.gateway.station.SecretSource;
import oilbird.gateway.station.WebhookLinkSettings;
import org.junit.jupiter.api.io.TempDir;

/** The contract of links against a real web server. */
class WebhookLinkContractTest extends LinkContract {
    @TempDir
    Path secrets = Path.of("");

    @Override
    protected Peer peer() throws Exception {
        Files.writeString(
                secrets.resolve("desk.secret"), "whsec_" + Base64.getEncoder().encodeToString(new byte[32]));
        return new DeskPeer(secrets);
    }

    @Override
    protected LinkRunner.Settings running() {
        return new LinkRunner.Settings(
                8, Duration.ofSeconds(3), Duration.ofMillis(50), Duration.ofMillis(500), Duration.ofMillis(200));
    }

    private static final class DeskPeer implements Peer {
        private static final ObjectMapper JSON = new ObjectMapper();

        private final Path secrets;
        private final Desk desk = new Desk(null);
        private final Wire wire = new Wire(desk.port());
        private final Vertx vertx = Vertx.vertx();

        DeskPeer(Path secrets) throws IOException {
            this.secrets = secrets;
        }

        @Override
        public Link link(Surroundings around) {
            return new WebhookLink(
                    new WebhookLinkSettings(
                            around.link(),
                            "desk",
                            URI.create("http://127.0.0.1:" + wire.port() + "/oilbird"),
                            new SecretSource("desk.secret", null),
                            Duration.ofSeconds(1),
                            null),
                    secrets,
                    CompletableFuture.completedFuture(vertx),
                    around.forms(),
                    around.view(),
                    around.clock());
        }

        private List<JsonNode> events() {
            List<JsonNode> events = new ArrayList<>();
            for (Desk.Arrival arrival : desk.taken()) {
                try {
                    events.add(JSON.readTree(
                            Objects.requireNonNull(arrival.event().getData()).toBytes()));
                } catch (IOException e) {
                    throw new UncheckedIOException(e);
                }
            }
            return events;
        }

        @Override
        public List<Arrival> arrivals() {
            return events().stream()
                    .map(event -> new Arrival(
                            event.path("eventId").asText(),
                            event.has("alarm") ? alarm(event.path("alarm").asText()) : null,
                            event.path("kind").asText(),
                            event.path("test").asBoolean(),
                            doubtful(event)))
                    .toList();
        }

        private static AlarmId alarm(String text) {
            return new AlarmId(text.substring(0, text.indexOf('/')), text.substring(text.indexOf('/') + 1));
        }

        private static boolean doubtful(JsonNode event) {
            return event.path("state").asText().equals("OOSRV")
                    || (event.has("quality") && !event.path("quality").asText().equals("good"));
        }

        /** There are events only: the first of each id counts, and the last of those says how the alarm stands. */
        @Override
        public Optional<Picture> picture(AlarmId alarm) {
            Set<String> seen = new HashSet<>();
            return events().stream()
                    .filter(event -> event.path("alarm").asText().equals(alarm.toString()))
                    .filter(event -> seen.add(event.path("eventId").asText()))
                    .reduce((earlier, later) -> later)
                    .map(event -> new Picture(
                            event.path("active").asBoolean(),
                            event.path("acknowledged").asBoolean(),
                            event.path("state").asText().equals("SHLVD"),
                            event.path("test").asBoolean(),
                            doubtful(event)));
        }

        @Override
        public void stop() {
            desk.stop();
        }

        @Override
        public void startAgain() throws IOException {
            desk.startAgain();
        }

        @Override
        public void fallSilent() throws IOException {
            wire.silent(true);
        }

        @Override
        public void answerAgain() throws IOException {
            wire.silent(false);
        }

        @Override
        public void close() throws Exception {
            wire.close();
            desk.close();
            vertx.close().toCompletionStage().toCompletableFuture().get(20, TimeUnit.SECONDS);
        }
    }
}
