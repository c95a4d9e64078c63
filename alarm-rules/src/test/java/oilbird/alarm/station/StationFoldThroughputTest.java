package oilbird.alarm.station;

import static org.assertj.core.api.Assertions.assertThat;

import java.lang.management.ManagementFactory;
import java.lang.management.ThreadMXBean;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Random;
import oilbird.alarm.Windlow;
import oilbird.alarm.rule.DeviceKind;
import oilbird.alarm.rule.RuleInstance;
import oilbird.alarm.rule.StationFacts;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.Reading;
import oilbird.mapping.signal.SignalId;
import org.junit.jupiter.api.Test;

/**
 * A thousand devices with sixty readings and sixteen indications each, every value new each second, four levels
 * and two indications watched on each. Thread CPU time counts, not the wall, so that other work on the machine
 * does not decide.
 */
class StationFoldThroughputTest {
    private static final int DEVICES = 1_000;
    private static final int READINGS = 60;
    private static final int INDICATIONS = 16;
    private static final int ROUNDS = 60;
    /** Half of what the design asks for, since this machine is shared; the figure itself is printed. */
    private static final double LEAST_PER_SECOND = 500_000;

    @Test
    void foldsHalfAMillionReadingsASecondOnOneCore() {
        StationFacts facts = facts();
        List<RuleInstance> rules = Windlow.rulesOf(facts, rules());
        StationFold fold = StationFold.start(
                new StationModel(facts, rules, StationModel.Settings.DEFAULT, ""),
                List.of(),
                null,
                "gw1",
                1,
                new Moment(0, 0, true));
        List<List<Decoded>> variants = List.of(variant(facts, 1), variant(facts, 2), variant(facts, 3));
        long second = Duration.ofSeconds(1).toNanos();
        int events = 0;
        for (int round = 1; round <= ROUNDS; round++) {
            events += round(fold, variants.get(round % 3), round * second);
        }
        ThreadMXBean threads = ManagementFactory.getThreadMXBean();
        long before = threads.getCurrentThreadCpuTime();
        for (int round = ROUNDS + 1; round <= 2 * ROUNDS; round++) {
            events += round(fold, variants.get(round % 3), round * second);
        }
        double seconds = (threads.getCurrentThreadCpuTime() - before) / 1e9;
        double perSecond = (double) ROUNDS * DEVICES * READINGS / seconds;
        System.out.printf(
                "station fold: %.2f million readings a second of CPU time, %d alarms, %d events%n",
                perSecond / 1e6, rules.size(), events);
        assertThat(rules).hasSize(6 * DEVICES);
        assertThat(events).as("the bits that hold raised their alarms").isEqualTo(2 * DEVICES);
        assertThat(perSecond).isGreaterThan(LEAST_PER_SECOND);
    }

    private static int round(StationFold fold, List<Decoded> variant, long nanos) {
        Moment at = new Moment(nanos, nanos / 1_000_000, true);
        int events = 0;
        for (Decoded one : variant) {
            Decoded now = new Decoded(one.device(), one.block(), one.readings(), one.indications(), one.words(), at);
            events += fold.apply(new StationInput.Observed(now)).events().size();
        }
        return events;
    }

    private static String[] rules() {
        List<String> rules = new ArrayList<>();
        for (int i = 0; i < 4; i++) {
            rules.add("level-" + i + ":\n  for: {map: wide}\n  when: {level: p" + i + ", unit: degC, high: 90}\n"
                    + "  says: x\n  class: equipment-health\n  priority: minor\n");
        }
        for (int i = 0; i < 2; i++) {
            rules.add("bit-" + i + ":\n  for: {map: wide}\n  when: {indication: b" + i + "}\n"
                    + "  says: x\n  class: auxiliary\n  priority: minor\n");
        }
        return rules.toArray(String[]::new);
    }

    private static StationFacts facts() {
        List<DeviceKind.Point> points = new ArrayList<>();
        List<DeviceKind.NamedIndication> indications = new ArrayList<>();
        List<String> signals = new ArrayList<>();
        for (int i = 0; i < READINGS; i++) {
            points.add(new DeviceKind.Point(
                    "p" + i, "p" + i, "degC", "", new DeviceKind.Range(0, 100), Duration.ZERO, Duration.ZERO, null));
            signals.add("p" + i);
        }
        for (int i = 0; i < INDICATIONS; i++) {
            indications.add(new DeviceKind.NamedIndication(
                    "b" + i,
                    "b" + i,
                    i == 15 ? List.of(new DeviceKind.Doubting("p59", false, 1)) : List.of(),
                    false,
                    List.of()));
            signals.add("b" + i);
        }
        DeviceKind wide = new DeviceKind(
                "wide",
                "invented",
                points,
                indications,
                List.of(new DeviceKind.Block("all", Duration.ofSeconds(1), signals)));
        List<StationFacts.Device> devices = new ArrayList<>();
        for (int d = 0; d < DEVICES; d++) {
            devices.add(new StationFacts.Device("d" + d, "device", "t1", wide, List.of()));
        }
        return new StationFacts(
                "wide", "Wide", "gw1", List.of(new StationFacts.Asset("t1", "Transformer 1", "transformer")), devices);
    }

    private static List<Decoded> variant(StationFacts facts, long seed) {
        Random random = new Random(seed);
        List<Decoded> all = new ArrayList<>();
        Moment none = new Moment(0, 0, true);
        for (StationFacts.Device device : facts.devices()) {
            List<Reading> readings = new ArrayList<>();
            for (int i = 0; i < READINGS; i++) {
                SignalId id = new SignalId(device.id(), "p" + i);
                readings.add(new Reading(id, 40 + 20 * random.nextDouble(), null, QualityReason.NONE, none));
            }
            List<Indication> indications = new ArrayList<>();
            for (int i = 0; i < INDICATIONS; i++) {
                indications.add(Indication.of(new SignalId(device.id(), "b" + i), i < 2, none));
            }
            all.add(new Decoded(device.id(), "all", readings, indications, List.of(), none));
        }
        return all;
    }
}
