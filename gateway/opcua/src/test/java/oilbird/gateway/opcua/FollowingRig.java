package oilbird.gateway.opcua;

import java.nio.file.Path;
import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.concurrent.BlockingQueue;
import java.util.concurrent.CopyOnWriteArrayList;
import java.util.concurrent.LinkedBlockingQueue;
import java.util.concurrent.TimeUnit;
import java.util.function.Predicate;
import oilbird.alarm.station.StationInput;
import oilbird.gateway.engine.clock.GatewayClock;
import oilbird.gateway.engine.poll.Notice;
import oilbird.gateway.engine.poll.Waits;
import oilbird.gateway.opcua.trust.OwnCertificate;
import oilbird.gateway.station.OpcUaEndpoint;
import oilbird.gateway.station.OpcUaEndpoint.Identity;
import oilbird.gateway.station.OpcUaEndpoint.Security;
import oilbird.mapping.decode.Decoder;
import oilbird.mapping.map.DeviceMap;
import oilbird.mapping.map.MapReader;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.Reading;

/** A poller that follows one server, with everything it offers kept for a test to wait for. */
final class FollowingRig implements AutoCloseable {
    static final String DEVICE = "moisture-t1";
    static final String GATEWAY = "windlow-gw1";

    /** Back-offs short enough for a test to wait for, suspensions too. */
    static final Waits SETTINGS = new Waits(
            Duration.ofMillis(50), Duration.ofMillis(200), Duration.ofMillis(100), Duration.ofMillis(400), 20_261_125);

    static final DeviceMap MAP = map("");

    private final BlockingQueue<StationInput> inputs = new LinkedBlockingQueue<>();
    final List<StationInput> all = new CopyOnWriteArrayList<>();
    final List<Notice> notices = new CopyOnWriteArrayList<>();
    final OpcUaPoller poller;

    static DeviceMap map(String opcUa) {
        return MapReader.read("mtm-2.yaml", """
                        device_map: 1
                        name: mtm-2
                        text: moisture monitor (invented)
                        identification: {vendor: Someone (invented), product: MTM-2, firmware: ["3.*"]}
                        opc_ua:
                          namespaces: {m: "urn:windlow:test-monitor"}
                          sampling: 20 ms
                        %s
                        poll_classes: {status: 200 ms}
                        points:
                          water: {text: water activity, node: m:s=Water, range: [0, 1]}
                          water-time: {text: source time of the water activity, node: m:s=Water, type: source-time}
                          temperature: {text: oil temperature, node: m:s=Temperature, unit: degC}
                          serial: {text: serial number, node: m:s=Serial, type: text}
                        words:
                          status: {text: status, node: m:s=Status, width: 16, bits: {0: probe-fault, 1: heater-off}}
                        indications:
                          probe-fault: {text: probe fault}
                          heater-off: {text: heater off}
                        """.formatted(opcUa.isEmpty() ? "" : "  " + opcUa))
                .result()
                .orElseThrow();
    }

    FollowingRig(OpcUaEndpoint endpoint, DeviceMap map, Path data, boolean clockTrusted) throws Exception {
        Decoder decoder = new Decoder(map);
        GatewayClock clock = () -> new Moment(System.nanoTime(), Instant.now().toEpochMilli(), clockTrusted);
        poller = new OpcUaPoller(
                List.of(new OpcUaDevice(
                        DEVICE,
                        endpoint,
                        java.util.Objects.requireNonNull(map.nodes()),
                        map.pollClasses(),
                        (snapshot, at) -> decoder.decode(DEVICE, snapshot, at),
                        map.identification())),
                data,
                GATEWAY,
                input -> {
                    all.add(input);
                    return inputs.add(input);
                },
                clock,
                SETTINGS,
                notices::add);
        poller.start();
    }

    FollowingRig(OpcUaEndpoint endpoint, Path data) throws Exception {
        this(endpoint, MAP, data, true);
    }

    static OpcUaEndpoint plain(String url) {
        return endpoint(url, Security.NONE, true, new OpcUaEndpoint.Anonymous());
    }

    static OpcUaEndpoint endpoint(String url, Security security, boolean encrypted, Identity identity) {
        return new OpcUaEndpoint(url, security, encrypted, identity, Duration.ofSeconds(4));
    }

    static OwnCertificate own(Path data) throws Exception {
        return OwnCertificate.of(data.resolve("opc-ua"), GATEWAY, Instant.now());
    }

    /** The next input that is as asked for; others are passed over. */
    StationInput await(Predicate<StationInput> wanted) throws InterruptedException {
        long deadline = System.nanoTime() + TimeUnit.SECONDS.toNanos(40);
        while (true) {
            StationInput input = inputs.poll(deadline - System.nanoTime(), TimeUnit.NANOSECONDS);
            if (input == null) {
                throw new AssertionError("not within 40 s; last were "
                        + all.subList(Math.max(0, all.size() - 5), all.size()) + ", notices " + notices);
            }
            if (wanted.test(input)) {
                return input;
            }
        }
    }

    Decoded awaitObserved(Predicate<Decoded> wanted) throws InterruptedException {
        return ((StationInput.Observed) await(
                        input -> input instanceof StationInput.Observed observed && wanted.test(observed.decoded())))
                .decoded();
    }

    Decoded awaitWater(double value) throws InterruptedException {
        return awaitObserved(decoded ->
                Double.valueOf(value).equals(reading(decoded, "water").number()));
    }

    StationInput.RequestFailed awaitFailure(QualityReason reason) throws InterruptedException {
        return (StationInput.RequestFailed)
                await(input -> input instanceof StationInput.RequestFailed failed && failed.reason() == reason);
    }

    void awaitNotice(int number) throws InterruptedException {
        long deadline = System.nanoTime() + TimeUnit.SECONDS.toNanos(40);
        Object pause = new Object();
        while (notices.stream().noneMatch(n -> n.number() == number)) {
            if (System.nanoTime() > deadline) {
                throw new AssertionError("no GW-" + number + " within 40 s: " + notices);
            }
            synchronized (pause) {
                pause.wait(5);
            }
        }
    }

    static Reading reading(Decoded decoded, String name) {
        return decoded.readings().stream()
                .filter(r -> r.id().name().equals(name))
                .findFirst()
                .orElseThrow();
    }

    static IndicationState state(Decoded decoded, String name) {
        return indication(decoded, name).state();
    }

    static Indication indication(Decoded decoded, String name) {
        return decoded.indications().stream()
                .filter(i -> i.id().name().equals(name))
                .findFirst()
                .orElseThrow();
    }

    /** Every number ever offered for a point. */
    List<Double> numbers(String name) {
        return all.stream()
                .filter(StationInput.Observed.class::isInstance)
                .map(input ->
                        reading(((StationInput.Observed) input).decoded(), name).number())
                .filter(java.util.Objects::nonNull)
                .toList();
    }

    @Override
    public void close() {
        poller.close();
    }
}
