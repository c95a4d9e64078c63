package oilbird.gateway.modbus;

import static oilbird.gateway.modbus.PollingRig.FAST;
import static oilbird.gateway.modbus.PollingRig.PATIENT;
import static org.assertj.core.api.Assertions.assertThat;

import java.io.IOException;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.TreeMap;
import java.util.TreeSet;
import java.util.concurrent.ConcurrentHashMap;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.TimeUnit;
import java.util.stream.IntStream;
import oilbird.alarm.station.StationInput;
import oilbird.gateway.station.ModbusTcpEndpoint;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** How many connections one Modbus gateway is given, and which units share them. */
@Timeout(value = 60, unit = TimeUnit.SECONDS)
final class SessionsTest {
    private static final int UNITS = 7;

    /** The connection over which each unit is asked. */
    private final Map<Integer, TreeSet<Integer>> connections = new ConcurrentHashMap<>();

    private void answer(RawDevice.Request request) throws IOException {
        connections.computeIfAbsent(request.unit(), unit -> new TreeSet<>()).add(request.connection());
        request.send(request.registers(request.unit()));
    }

    private static DeviceSession[] units(RawDevice gateway, int sessions) {
        return IntStream.rangeClosed(1, UNITS)
                .mapToObj(unit -> PollingRig.session(
                        "unit-" + unit,
                        new ModbusTcpEndpoint("127.0.0.1", gateway.port(), unit, PATIENT, sessions),
                        FAST))
                .toArray(DeviceSession[]::new);
    }

    @ParameterizedTest
    @ValueSource(ints = {1, 2, 3, UNITS, UNITS + 5})
    void unitsAreSpreadEvenlyOverAsManyConnectionsAsAreAllowedAndNeverMore(int sessions) throws Exception {
        try (RawDevice gateway = new RawDevice(this::answer);
                PollingRig rig = new PollingRig(units(gateway, sessions))) {
            for (int round = 0; round < 3; round++) {
                for (int unit = 1; unit <= UNITS; unit++) {
                    rig.awaitObserved("unit-" + unit);
                }
            }
            int expected = Math.min(sessions, UNITS);
            assertThat(gateway.connections()).isEqualTo(expected);
            Map<Integer, Integer> unitsOf = new TreeMap<>();
            connections.values().forEach(of -> {
                assertThat(of).as("a unit keeps its connection").hasSize(1);
                unitsOf.merge(of.first(), 1, Integer::sum);
            });
            assertThat(unitsOf.values())
                    .allSatisfy(
                            count -> assertThat(count).isBetween(UNITS / expected, (UNITS + expected - 1) / expected));
        }
    }

    @Test
    void aUnitThatTakesLongDelaysOnlyThoseOfItsOwnConnection() throws Exception {
        CountDownLatch done = new CountDownLatch(1);
        try (RawDevice gateway = new RawDevice(request -> {
                    if (request.unit() == 1) {
                        try {
                            done.await();
                        } catch (InterruptedException over) {
                            Thread.currentThread().interrupt();
                        }
                    }
                    request.send(request.registers(request.unit()));
                });
                PollingRig rig = new PollingRig(units(gateway, 2))) {
            for (int round = 0; round < 10; round++) {
                for (int unit = 2; unit <= UNITS; unit += 2) {
                    rig.awaitObserved("unit-" + unit);
                }
            }
            assertThat(rig.status("unit-1").counts().answers()).isZero();
            done.countDown();
            for (int unit = 1; unit <= UNITS; unit++) {
                int each = unit;
                assertThat(rig.awaitObserved("unit-" + unit).readings())
                        .allSatisfy(reading -> assertThat(reading.number()).isEqualTo((double) each));
            }
        }
    }

    /** As monitors do that take one connection: a further one is hung up at once. */
    @Test
    void aDeviceThatTakesOneConnectionIsNeverAskedForASecond() throws Exception {
        TreeSet<Integer> turnedAway = new TreeSet<>();
        try (RawDevice single = new RawDevice(request -> {
                    if (request.connection() > 1) {
                        turnedAway.add(request.connection());
                        request.socket().close();
                    } else {
                        request.send(request.registers(request.unit()));
                    }
                });
                PollingRig rig = new PollingRig(units(single, 1))) {
            for (int round = 0; round < 5; round++) {
                for (int unit = 1; unit <= UNITS; unit++) {
                    rig.awaitObserved("unit-" + unit);
                }
            }
            assertThat(turnedAway).isEmpty();
            assertThat(rig.all).noneMatch(StationInput.RequestFailed.class::isInstance);
        }
    }

    @Test
    void oneConnectionThatIsLostIsTheLossOfItsOwnUnitsOnly() throws Exception {
        try (RawDevice gateway = new RawDevice(this::answer);
                PollingRig rig = new PollingRig(units(gateway, 2))) {
            for (int unit = 1; unit <= UNITS; unit++) {
                rig.awaitObserved("unit-" + unit);
            }
            gateway.behave(request -> {
                if (request.unit() % 2 == 1) {
                    request.socket().close();
                } else {
                    request.send(request.registers(request.unit()));
                }
            });
            rig.awaitFailure("unit-1", "fast");
            for (int round = 0; round < 5; round++) {
                for (int unit = 2; unit <= UNITS; unit += 2) {
                    rig.awaitObserved("unit-" + unit);
                }
            }
            assertThat(failed(rig)).isNotEmpty().allMatch(device -> unitOf(device) % 2 == 1);
            gateway.behave(this::answer);
            for (int unit = 1; unit <= UNITS; unit++) {
                rig.awaitObserved("unit-" + unit);
            }
        }
    }

    private static List<String> failed(PollingRig rig) {
        return rig.all.stream()
                .map(input -> input instanceof StationInput.RequestFailed failed ? failed.device() : null)
                .filter(Objects::nonNull)
                .distinct()
                .toList();
    }

    private static int unitOf(String device) {
        return Integer.parseInt(device.substring("unit-".length()));
    }
}
