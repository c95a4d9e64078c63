package oilbird.gateway.engine.simulation;

import static org.assertj.core.api.Assertions.assertThat;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.SplittableRandom;
import java.util.logging.Level;
import java.util.logging.Logger;
import oilbird.alarm.rule.RuleInstance;
import oilbird.alarm.state.Actor;
import oilbird.alarm.state.AlarmEvent;
import oilbird.alarm.station.Past;
import oilbird.alarm.station.Remembered;
import oilbird.alarm.station.StationEvent;
import oilbird.alarm.station.StationFold;
import oilbird.alarm.station.StationInput;
import oilbird.alarm.station.StationView;
import oilbird.gateway.engine.writer.WriterSettings;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.SignalId;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;

/**
 * The same station twice, with everything that happened in a simulation, and in one of the two persons test points all
 * the time. But for the tests themselves both say the same, diagnose the same and remember the same.
 */
class PointTestTwinTest {
    private static final Logger LOG = Logger.getLogger("oilbird");
    private static final Actor PERSON = new Actor("I. Integrator (invented)", "page");

    @BeforeAll
    static void quiet() {
        LOG.setLevel(Level.OFF);
    }

    @Test
    void aPointTestReachesNeitherAlarmsNorDiagnosesNorWhatIsRemembered() {
        int tests = 0;
        int diagnosed = 0;
        int raised = 0;
        for (long seed = 1; seed <= 12; seed++) {
            List<StationInput> happened = happened(seed);
            Twin plain = new Twin(happened.get(0).at());
            Twin tested = new Twin(happened.get(0).at());
            SplittableRandom random = new SplittableRandom(seed);
            for (StationInput input : happened) {
                for (int i = random.nextInt(3); i > 0; i--) {
                    tested.take(test(random, input.at()));
                    tests++;
                }
                plain.take(input);
                tested.take(input);
            }
            assertThat(tested.said).as("seed %d", seed).isEqualTo(plain.said);
            StationView without = plain.fold.view();
            StationView with = tested.fold.view();
            assertThat(with.diagnoses().toString().replaceAll("windlow-gw1\\.1\\.\\d+", "id"))
                    .as("seed %d", seed)
                    .isEqualTo(without.diagnoses().toString().replaceAll("windlow-gw1\\.1\\.\\d+", "id"));
            assertThat(remembered(tested)).as("seed %d", seed).isEqualTo(remembered(plain));
            diagnosed += (int)
                    plain.said.stream().filter(said -> said.contains("Diagnos")).count();
            raised += (int)
                    plain.said.stream().filter(said -> said.contains("RAISED")).count();
        }
        assertThat(tests).isGreaterThan(5_000);
        assertThat(raised).isGreaterThan(30);
        assertThat(diagnosed).isGreaterThan(10);
    }

    private static List<StationInput> happened(long seed) {
        List<StationInput> happened = new ArrayList<>();
        World world = new World(seed, Store.inMemory(), PlantedFault.NONE, WriterSettings.DEFAULT);
        world.record(happened);
        SplittableRandom random = new SplittableRandom(seed);
        for (int i = 0; i < 40; i++) {
            ScriptedDevice device =
                    world.devices().get(random.nextInt(world.devices().size()));
            world.timeline().in(random.nextInt(150) * Timeline.SECOND, device::change);
        }
        world.run(Duration.ofMinutes(3));
        return happened;
    }

    private static StationInput test(SplittableRandom random, Moment at) {
        List<RuleInstance> rules = Windlow.STATION.model().rules();
        RuleInstance rule = rules.get(random.nextInt(rules.size()));
        Duration time = Duration.ofSeconds(random.nextInt(1, 30));
        List<SignalId> readings = List.of(
                new SignalId("gas-t1", "hydrogen"),
                new SignalId("gas-t2", "heat-sink-temperature"),
                new SignalId("cooling-t1", "top-oil-temperature"));
        SignalId reading = readings.get(random.nextInt(readings.size()));
        return switch (random.nextInt(5)) {
            case 0, 1 -> new StationInput.TestAlarm(rule.id(), random.nextBoolean(), PERSON, time, at);
            case 2 -> new StationInput.EndAlarmTest(rule.id(), PERSON, at);
            case 3 -> new StationInput.TestReading(reading, random.nextInt(2_000), PERSON, time, at);
            default -> new StationInput.EndReadingTest(reading, PERSON, at);
        };
    }

    private static List<String> remembered(Twin twin) {
        return twin.fold.remembered().stream()
                .map(Remembered::toString)
                .map(piece -> piece.replaceAll("windlow-gw1\\.1\\.\\d+", "id"))
                .sorted()
                .toList();
    }

    /** One of the two, and what it said but for point tests; without ids, which tests count up. */
    private static final class Twin {
        final List<String> said = new ArrayList<>();
        final StationFold fold;

        Twin(Moment began) {
            fold = StationFold.start(Windlow.STATION.model(), Past.NONE, "windlow-gw1", 1, began);
            note(fold.opening().events());
        }

        void take(StationInput input) {
            note(fold.apply(input).events());
        }

        private void note(List<StationEvent> events) {
            for (StationEvent event : events) {
                boolean ofTest = event instanceof StationEvent.OfAlarm of
                                && (of.event().kind() == AlarmEvent.Kind.TEST_FORCED
                                        || of.event().kind() == AlarmEvent.Kind.TEST_ENDED)
                        || event instanceof StationEvent.Notice notice
                                && (notice.kind() == StationEvent.Notice.Kind.TEST_FORCED
                                        || notice.kind() == StationEvent.Notice.Kind.TEST_ENDED);
                if (!ofTest) {
                    said.add(event.toString()
                            .replaceAll("EventId\\[[^]]*\\]", "EventId")
                            .replaceAll("windlow-gw1\\.1\\.\\d+", "id"));
                }
            }
        }
    }
}
