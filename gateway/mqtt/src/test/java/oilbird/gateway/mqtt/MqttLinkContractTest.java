package oilbird.gateway.mqtt;

import com.fasterxml.jackson.databind.JsonNode;
import io.vertx.core.Vertx;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.TimeUnit;
import oilbird.alarm.state.AlarmId;
import oilbird.gateway.engine.outbox.Link;
import oilbird.gateway.engine.outbox.contract.LinkContract;
import oilbird.gateway.engine.outbox.contract.Peer;
import oilbird.gateway.engine.outbox.contract.Surroundings;
import oilbird.gateway.engine.outbox.contract.Wire;
import oilbird.gateway.station.MqttLinkSettings;
import org.eclipse.paho.client.mqttv3.MqttException;

/** The contract of links against a real broker, which loses all that it kept whenever it stops. */
class MqttLinkContractTest extends LinkContract {
    @Override
    protected Peer peer() throws Exception {
        return new BrokerPeer();
    }

    private static final class BrokerPeer implements Peer {
        private static final List<String> EVENTS =
                List.of("/event", "/notice", "/diagnosis", "/keep-away", "/access", "/fault-finding");

        private final Broker broker = new Broker();
        private final Wire wire = new Wire(broker.port());
        private final Vertx vertx = Vertx.vertx();

        BrokerPeer() throws Exception {}

        @Override
        public Link link(Surroundings around) {
            return new MqttLink(
                    new MqttLinkSettings(
                            around.link(), "control room", "127.0.0.1", wire.port(), "oilbird/windlow", "windlow-gw"),
                    CompletableFuture.completedFuture(vertx),
                    around.forms(),
                    around.view(),
                    around.clock());
        }

        @Override
        public List<Arrival> arrivals() {
            List<Arrival> arrivals = new ArrayList<>();
            for (Broker.Arrival taken : broker.taken("")) {
                if (EVENTS.stream().anyMatch(taken.topic()::endsWith)) {
                    JsonNode event = taken.json();
                    arrivals.add(new Arrival(
                            taken.text("eventId"),
                            event.has("alarm") ? alarm(taken.text("alarm")) : null,
                            taken.text("kind"),
                            event.path("test").asBoolean(),
                            event.has("quality") && !taken.text("quality").equals("good")));
                }
            }
            return arrivals;
        }

        private static AlarmId alarm(String text) {
            return new AlarmId(text.substring(0, text.indexOf('/')), text.substring(text.indexOf('/') + 1));
        }

        @Override
        public Optional<Picture> picture(AlarmId alarm) {
            List<Broker.Arrival> states = broker.heard("/alarm/" + alarm.asset() + "/" + alarm.rule());
            return states.isEmpty()
                    ? Optional.empty()
                    : Optional.of(states.get(states.size() - 1).json())
                            .map(state -> new Picture(
                                    state.path("active").asBoolean(),
                                    state.path("acknowledged").asBoolean(),
                                    state.has("shelved"),
                                    state.has("test"),
                                    !state.path("quality").asText().equals("good")));
        }

        @Override
        public void stop() throws MqttException {
            broker.stop();
        }

        @Override
        public void startAgain() throws Exception {
            broker.startAgain();
        }

        @Override
        public void fallSilent() throws Exception {
            wire.silent(true);
        }

        @Override
        public void answerAgain() throws Exception {
            wire.silent(false);
        }

        @Override
        public void close() throws Exception {
            wire.close();
            broker.close();
            vertx.close().toCompletionStage().toCompletableFuture().get(20, TimeUnit.SECONDS);
        }
    }
}
