package oilbird.gateway.points;

import static org.assertj.core.api.Assertions.assertThat;

import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Random;
import java.util.TreeSet;
import oilbird.alarm.rule.DeviceKind;
import oilbird.alarm.rule.RuleInstance;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.rule.Trouble;
import oilbird.alarm.state.Actor;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.AlarmState;
import oilbird.alarm.state.OutOfService;
import oilbird.alarm.state.Shelving;
import oilbird.alarm.state.Suppression;
import oilbird.alarm.station.Standing;
import oilbird.alarm.station.StationView;
import oilbird.alarm.station.StationView.AlarmView;
import oilbird.alarm.station.StationView.DeviceView;
import oilbird.alarm.station.StationView.TrustedReading;
import oilbird.gateway.points.PointState.DoublePoint;
import oilbird.gateway.station.Station;
import oilbird.gateway.station.StationFolder;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.Quality;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.Reading;
import oilbird.mapping.signal.SignalId;
import org.jspecify.annotations.Nullable;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

class PointPictureTest {
    private static final Station DEMO =
            StationFolder.load(Path.of("../../deploy/demo-station")).result().orElseThrow();
    private static final StationFacts FACTS = DEMO.model().facts();
    private static final List<RuleInstance> RULES = DEMO.model().rules();
    private static final Actor OPERATOR = new Actor("A. Operator (invented)", "page");
    private static final Moment NOW = new Moment(1_000_000_000_000L, 1_790_000_000_000L, true);
    private static final Moment BEFORE = new Moment(400_000_000_000L, 1_789_999_400_000L, true);

    /** What a test changes of a station in which nothing is wrong. */
    private static final class World {
        final Map<AlarmId, Memory> alarms = new LinkedHashMap<>();
        final Map<SignalId, TrustedReading> readings = new LinkedHashMap<>();
        final TreeSet<String> silent = new TreeSet<>();
        final List<Standing.Maintenance> maintenance = new ArrayList<>();
        final List<Standing.AlarmTest> tests = new ArrayList<>();
        Moment at = NOW;
        Moment now = NOW;

        World() {
            RULES.forEach(r -> alarms.put(r.id(), new Memory()));
            for (StationFacts.Device device : FACTS.devices()) {
                for (DeviceKind.Point point : device.kind().points()) {
                    SignalId id = new SignalId(device.id(), point.name());
                    readings.put(id, good(id, point));
                }
            }
        }

        static TrustedReading good(SignalId id, DeviceKind.Point point) {
            return new TrustedReading(
                    new Reading(
                            id,
                            point.isField() ? null : (Double) 12.5,
                            point.isField() ? "idle" : null,
                            QualityReason.NONE,
                            BEFORE),
                    List.of());
        }

        Memory alarm(AlarmId id) {
            return alarms.computeIfAbsent(id, i -> new Memory());
        }

        StationView view() {
            Map<AlarmId, AlarmView> views = new LinkedHashMap<>();
            RULES.forEach(r ->
                    views.put(r.id(), new AlarmView(r, alarm(r.id()).state(r), List.of(), false, "", null, null)));
            Map<String, DeviceView> devices = new LinkedHashMap<>();
            for (StationFacts.Device device : FACTS.devices()) {
                List<TrustedReading> of = readings.values().stream()
                        .filter(r -> r.reading().id().owner().equals(device.id()))
                        .toList();
                devices.put(
                        device.id(),
                        new DeviceView(device.id(), silent.contains(device.id()), of, List.of(), List.of()));
            }
            return new StationView(
                    at,
                    views,
                    devices,
                    new StationView.Flood(false, 0),
                    new Standing(maintenance, tests, List.of()),
                    List.of(),
                    List.of(),
                    Map.of(),
                    StationView.FaultFindings.NONE);
        }

        void maintain(String of) {
            maintenance.add(new Standing.Maintenance(
                    of,
                    OPERATOR,
                    "fan change",
                    "W-12",
                    BEFORE,
                    AlarmState.NEVER,
                    0,
                    false,
                    List.of(),
                    List.of(),
                    List.of()));
        }

        void test(AlarmId alarm, boolean forced) {
            tests.add(new Standing.AlarmTest(alarm, forced, OPERATOR, AlarmState.NEVER, 0));
        }
    }

    private static final class Memory {
        boolean active;
        boolean told = true;
        Quality quality = Quality.GOOD;
        boolean shelved;
        boolean suppressed;
        boolean removed;
        boolean enabled = true;

        AlarmState state(RuleInstance rule) {
            AlarmState initial = AlarmState.initial(rule.id(), rule.policy());
            return new AlarmState(
                    rule.id(),
                    enabled,
                    told ? (Boolean) active : null,
                    active,
                    !active,
                    true,
                    false,
                    shelved ? new Shelving(Shelving.Kind.TIMED, AlarmState.NEVER, 0, OPERATOR, "") : Shelving.NONE,
                    suppressed ? new Suppression(true, false, null, "") : Suppression.NONE,
                    removed ? new OutOfService(OPERATOR, "", "", AlarmState.NEVER, 0) : null,
                    active ? 1 : 0,
                    initial.priority(),
                    quality,
                    null,
                    AlarmState.NEVER,
                    0,
                    "",
                    "",
                    "",
                    active ? BEFORE : null);
        }
    }

    private static RuleInstance rule(String asset, Trouble trouble) {
        return RULES.stream()
                .filter(r -> r.asset().id().equals(asset) && r.rule().record().trouble() == trouble)
                .findFirst()
                .orElseThrow();
    }

    private static final AlarmId GAS = rule("t1", Trouble.TRANSFORMER).id();
    private static final SignalId HYDROGEN = new SignalId("gas-t1", "hydrogen");

    private static ControlPoint point(PointSubject subject, PointType type, boolean inverted) {
        return new ControlPoint("1", subject, type, inverted, "A", "");
    }

    private static PointValue of(World world, PointSubject subject, PointType type, boolean inverted) {
        PointList list = new PointList("list.csv", List.of(point(subject, type, inverted)), Duration.ofSeconds(10));
        return PointPicture.of(list, world.view(), FACTS, world.now, null)
                .values()
                .get(0);
    }

    private static PointValue single(World world, PointSubject subject) {
        return of(world, subject, PointType.SINGLE_POINT, false);
    }

    private static PointValue summary(World world, Summary summary) {
        return single(world, new PointSubject.OfSummary("t1", summary));
    }

    private static final PointState ON = new PointState.Single(true);
    private static final PointState OFF = new PointState.Single(false);

    // ---- alarms

    @Test
    void anActiveAlarmIsOnSinceItBecameActive() { // northbound_mapping.csv, row active: SPI 1/0
        World world = new World();
        assertThat(single(world, new PointSubject.OfAlarm(GAS)).state()).isEqualTo(OFF);
        world.alarm(GAS).active = true;
        PointValue on = single(world, new PointSubject.OfAlarm(GAS));
        assertThat(on.state()).isEqualTo(ON);
        assertThat(on.at()).isEqualTo(BEFORE);
        assertThat(on.quality()).isEqualTo(Quality.GOOD);
    }

    @Test
    void polarityTurnsSingleAndDoublePoints() {
        World world = new World();
        world.alarm(GAS).active = true;
        PointSubject alarm = new PointSubject.OfAlarm(GAS);
        assertThat(of(world, alarm, PointType.SINGLE_POINT, true).state()).isEqualTo(OFF);
        assertThat(of(world, alarm, PointType.DOUBLE_POINT, false).state())
                .isEqualTo(new PointState.Position(DoublePoint.ON));
        assertThat(of(world, alarm, PointType.DOUBLE_POINT, true).state())
                .isEqualTo(new PointState.Position(DoublePoint.OFF));
    }

    /** 05-iec60870-5-104.md, 5.3: 0 intermediate, 1 off, 2 on, 3 indeterminate; two sources. */
    @Test
    void theStatesOfADoublePointHaveTheNumbersOfTheStandard() {
        assertThat(DoublePoint.INTERMEDIATE.wire()).isZero();
        assertThat(DoublePoint.OFF.wire()).isEqualTo(1);
        assertThat(DoublePoint.ON.wire()).isEqualTo(2);
        assertThat(DoublePoint.INDETERMINATE.wire()).isEqualTo(3);
    }

    @Test
    void anAlarmThatWasNeverToldIsNoAnswerAndADoublePointThenIndeterminate() {
        World world = new World();
        world.alarm(GAS).told = false;
        world.alarm(GAS).quality = Quality.BAD;
        PointValue single = single(world, new PointSubject.OfAlarm(GAS));
        assertThat(single.told()).isFalse();
        assertThat(single.notTopical()).isFalse();
        assertThat(of(world, new PointSubject.OfAlarm(GAS), PointType.DOUBLE_POINT, true)
                        .state())
                .isEqualTo(new PointState.Position(DoublePoint.INDETERMINATE));
    }

    /** 05-iec60870-5-104.md, 5.4: link lost, last value kept is NT; never read is IV. Mapping is advice. */
    @Test
    void whatCannotBeToldNowStaysAndIsNotTopical() {
        World world = new World();
        world.alarm(GAS).active = true;
        world.alarm(GAS).quality = Quality.BAD;
        PointValue stays = single(world, new PointSubject.OfAlarm(GAS));
        assertThat(stays.state()).isEqualTo(ON);
        assertThat(stays.notTopical()).isTrue();
    }

    /** The mapping table has a shelved alarm as blocked or as a point of its own; here it is a point of its own. */
    @Test
    void aShelvedAlarmIsNotBlockedAndHasAPointOfItsOwn() {
        World world = new World();
        world.alarm(GAS).active = true;
        world.alarm(GAS).shelved = true;
        PointValue alarm = single(world, new PointSubject.OfAlarm(GAS));
        assertThat(alarm.state()).isEqualTo(ON);
        assertThat(alarm.blocked()).isFalse();
        assertThat(single(world, new PointSubject.OfShelving(GAS)).state()).isEqualTo(ON);
        assertThat(summary(world, Summary.ALARMS_SHELVED).state()).isEqualTo(ON);
        assertThat(summary(world, Summary.TRANSFORMER_TROUBLE).state())
                .as("what is, not who has been told")
                .isEqualTo(ON);
    }

    @Test
    void anAlarmThatIsSuppressedOutOfServiceOrDisabledIsBlockedAndOutOfTheSummary() { // northbound_mapping.csv: BL
        for (int way = 0; way < 3; way++) {
            World world = new World();
            Memory memory = world.alarm(GAS);
            memory.active = true;
            memory.suppressed = way == 0;
            memory.removed = way == 1;
            memory.enabled = way != 2;
            PointValue alarm = single(world, new PointSubject.OfAlarm(GAS));
            assertThat(alarm.blocked()).isTrue();
            assertThat(alarm.state()).isEqualTo(ON);
            assertThat(summary(world, Summary.TRANSFORMER_TROUBLE).state()).isEqualTo(OFF);
        }
    }

    @Test
    void aPointTestForcesBothWaysWithTheTestFlag() {
        World world = new World();
        world.test(GAS, true);
        PointValue forced = single(world, new PointSubject.OfAlarm(GAS));
        assertThat(forced.state()).isEqualTo(ON);
        assertThat(forced.test()).isTrue();
        PointValue summary = summary(world, Summary.TRANSFORMER_TROUBLE);
        assertThat(summary.state()).isEqualTo(ON);
        assertThat(summary.test()).isTrue();

        World active = new World();
        active.alarm(GAS).active = true;
        active.test(GAS, false);
        assertThat(single(active, new PointSubject.OfAlarm(GAS)).state()).isEqualTo(OFF);
        PointValue stays = summary(active, Summary.TRANSFORMER_TROUBLE);
        assertThat(stays.state()).as("a test hides no trouble").isEqualTo(ON);
        assertThat(stays.test()).isFalse();
    }

    @Test
    void maintenanceIsQuality() {
        World world = new World();
        world.maintain("gas-t1");
        PointValue reading = of(world, new PointSubject.OfReading(HYDROGEN), PointType.MEASURED_VALUE, false);
        assertThat(reading.maintenance()).isTrue();
        PointValue summary = summary(world, Summary.TRANSFORMER_TROUBLE);
        assertThat(summary.maintenance()).isTrue();
        assertThat(summary.quality()).isEqualTo(Quality.UNCERTAIN);
        assertThat(summary(world, Summary.IN_MAINTENANCE).state()).isEqualTo(ON);
        assertThat(single(world, new PointSubject.OfSummary("t2", Summary.IN_MAINTENANCE))
                        .state())
                .isEqualTo(OFF);
    }

    // ---- summaries

    @Test
    void monitorTroubleIsNeverTransformerTrouble() {
        World world = new World();
        world.alarm(rule("t1", Trouble.MONITOR).id()).active = true;
        assertThat(summary(world, Summary.MONITOR_TROUBLE).state()).isEqualTo(ON);
        assertThat(summary(world, Summary.TRANSFORMER_TROUBLE).state()).isEqualTo(OFF);
        assertThat(single(world, new PointSubject.OfSummary("t2", Summary.MONITOR_TROUBLE))
                        .state())
                .isEqualTo(OFF);
    }

    @Test
    void aSummaryIsOffForCertainOnlyWhileEveryAlarmOfItCanBeTold() {
        World world = new World();
        assertThat(summary(world, Summary.TRANSFORMER_TROUBLE).quality()).isEqualTo(Quality.GOOD);
        world.alarm(GAS).quality = Quality.BAD;
        PointValue off = summary(world, Summary.TRANSFORMER_TROUBLE);
        assertThat(off.state()).isEqualTo(OFF);
        assertThat(off.quality()).isEqualTo(Quality.UNCERTAIN);
        RULES.stream().filter(r -> r.asset().id().equals("t1")).forEach(r -> world.alarm(r.id()).quality = Quality.BAD);
        assertThat(summary(world, Summary.TRANSFORMER_TROUBLE).quality()).isEqualTo(Quality.BAD);
        world.alarm(GAS).active = true;
        assertThat(summary(world, Summary.TRANSFORMER_TROUBLE).state())
                .as("what was active stays")
                .isEqualTo(ON);
    }

    @Test
    void readingsAreNotTrustedWhileOneOfThemIsDoubtfulOrSilent() {
        World world = new World();
        assertThat(summary(world, Summary.READINGS_NOT_TRUSTED).state()).isEqualTo(OFF);
        Reading doubtful = new Reading(HYDROGEN, 12.5, null, QualityReason.DOUBTFUL, BEFORE);
        world.readings.put(HYDROGEN, new TrustedReading(doubtful, List.of(new SignalId("gas-t1", "oil-flow-low"))));
        assertThat(summary(world, Summary.READINGS_NOT_TRUSTED).state()).isEqualTo(ON);
        assertThat(single(world, new PointSubject.OfSummary("t2", Summary.READINGS_NOT_TRUSTED))
                        .state())
                .isEqualTo(OFF);
    }

    @Test
    void aReadingThatWasNeverReadMakesNothingDoubtfulAndTheSummaryUncertain() {
        World world = new World();
        world.readings.put(
                HYDROGEN,
                new TrustedReading(new Reading(HYDROGEN, null, null, QualityReason.NOT_YET_READ, NOW), List.of()));
        PointValue value = summary(world, Summary.READINGS_NOT_TRUSTED);
        assertThat(value.state()).isEqualTo(OFF);
        assertThat(value.quality()).isEqualTo(Quality.UNCERTAIN);
    }

    @Test
    void communicationIsLostWhileAMonitorOfTheAssetDoesNotAnswer() {
        World world = new World();
        world.silent.add("gas-t1");
        assertThat(summary(world, Summary.COMMUNICATION_LOST).state()).isEqualTo(ON);
        assertThat(single(world, new PointSubject.OfSummary("t2", Summary.COMMUNICATION_LOST))
                        .state())
                .isEqualTo(OFF);
    }

    // ---- readings and life sign

    @Test
    void aReadingSaysItsNumberItsQualityAndWhenItCame() {
        World world = new World();
        PointValue value = of(world, new PointSubject.OfReading(HYDROGEN), PointType.MEASURED_VALUE, false);
        assertThat(value.state()).isEqualTo(new PointState.Measured(12.5));
        assertThat(value.at()).isEqualTo(BEFORE);
        assertThat(of(world, new PointSubject.OfReading(HYDROGEN), PointType.TEXT, false)
                        .state())
                .isEqualTo(new PointState.Words("12.5"));
    }

    @Test
    void theLifeSignTurnsWithEveryPeriodAndStandsStillWithTheStation() {
        World world = new World();
        PointSubject life = new PointSubject.LifeSign();
        List<PointState> said = new ArrayList<>();
        List<PointState> counted = new ArrayList<>();
        for (long second = 0; second < 60; second += 5) {
            world.now = NOW.plusNanos(second * 1_000_000_000L);
            said.add(single(world, life).state());
            counted.add(of(world, life, PointType.MEASURED_VALUE, false).state());
        }
        assertThat(said)
                .as("the view is of second 0, and counts as living until second 30")
                .containsExactly(OFF, OFF, ON, ON, OFF, OFF, ON, OFF, OFF, OFF, OFF, OFF);
        assertThat(counted.get(2)).isEqualTo(new PointState.Measured(101));
        assertThat(single(world, life)).isEqualTo(single(world, life));
    }

    @Test
    void anAlarmOfFormerRulesIsNoAnswer() {
        PointValue value = single(new World(), new PointSubject.OfAlarm(new AlarmId("t1", "gone")));
        assertThat(value.state()).isNull();
        assertThat(value.told()).isFalse();
    }

    @Test
    void whatSaysTheSameKeepsSinceWhen() {
        PointList list = PointList.byDefault(FACTS);
        World world = new World();
        PointPicture first = PointPicture.of(list, world.view(), FACTS, world.now, null);
        world.at = NOW.plusNanos(1_000_000_000L);
        PointPicture second = PointPicture.of(list, world.view(), FACTS, world.now, first);
        assertThat(changed(first, second)).isEmpty();
        assertThat(second.at("t1.monitor-trouble").orElseThrow().at()).isEqualTo(NOW);

        world.at = NOW.plusNanos(2_000_000_000L);
        world.silent.add("gas-t1");
        PointPicture third = PointPicture.of(list, world.view(), FACTS, world.now, second);
        assertThat(changed(second, third))
                .extracting(v -> v.point().address())
                .containsExactly("t1.communication-lost");
        assertThat(third.at("t1.communication-lost").orElseThrow().at()).isEqualTo(world.at);
        assertThat(third.values()).hasSize(13);
    }

    /** Those that say something else than before, as a link tells them apart. */
    private static List<PointValue> changed(PointPicture before, PointPicture after) {
        return after.values().stream()
                .filter(now -> !before.at(now.point().address()).orElseThrow().saysTheSame(now))
                .toList();
    }

    // ---- every point against a naive reading

    @ParameterizedTest
    @ValueSource(longs = {1, 2, 3, 5, 8, 13, 21, 34})
    void everyPointAgreesWithANaiveReadingOfTheStation(long seed) {
        Random random = new Random(seed);
        PointList list = everything(random);
        World world = new World();
        for (int step = 0; step < 120; step++) {
            change(world, random);
            world.at = world.at.plusNanos((long) (random.nextDouble() * 20e9));
            PointPicture picture = PointPicture.of(list, world.view(), FACTS, world.now, null);
            assertThat(picture.values()).hasSameSizeAs(list.points());
            for (PointValue value : picture.values()) {
                assertThat(said(value))
                        .as("seed %d, step %d, %s", seed, step, value.point())
                        .isEqualTo(naive(world, value.point()));
            }
        }
    }

    private static PointList everything(Random random) {
        List<ControlPoint> points = new ArrayList<>();
        RULES.forEach(r -> {
            points.add(onOff(points.size(), new PointSubject.OfAlarm(r.id()), random));
            points.add(onOff(points.size(), new PointSubject.OfShelving(r.id()), random));
        });
        for (StationFacts.Asset asset : FACTS.assets()) {
            for (Summary summary : Summary.values()) {
                points.add(onOff(points.size(), new PointSubject.OfSummary(asset.id(), summary), random));
            }
        }
        return new PointList("all.csv", points, Duration.ofSeconds(10));
    }

    private static ControlPoint onOff(int address, PointSubject subject, Random random) {
        PointType type = random.nextBoolean() ? PointType.SINGLE_POINT : PointType.DOUBLE_POINT;
        return new ControlPoint(String.valueOf(address), subject, type, random.nextBoolean(), "A" + address, "");
    }

    private static void change(World world, Random random) {
        RuleInstance rule = RULES.get(random.nextInt(RULES.size()));
        Memory memory = world.alarm(rule.id());
        switch (random.nextInt(10)) {
            case 0, 1, 2 -> memory.active = random.nextBoolean();
            case 3 -> memory.quality = Quality.values()[random.nextInt(3)];
            case 4 -> memory.told = random.nextBoolean();
            case 5 -> memory.shelved = random.nextBoolean();
            case 6 -> memory.suppressed = random.nextBoolean();
            case 7 -> memory.removed = random.nextBoolean();
            case 8 -> {
                world.tests.clear();
                world.test(rule.id(), random.nextBoolean());
            }
            default -> {
                StationFacts.Device device =
                        FACTS.devices().get(random.nextInt(FACTS.devices().size()));
                if (random.nextBoolean()) {
                    world.silent.clear();
                    world.silent.add(device.id());
                } else if (random.nextBoolean()) {
                    world.maintenance.clear();
                    world.maintain(random.nextBoolean() ? device.id() : device.asset());
                } else if (!device.kind().points().isEmpty()) {
                    SignalId id = new SignalId(
                            device.id(), device.kind().points().get(0).name());
                    QualityReason reason = List.of(
                                    QualityReason.NONE,
                                    QualityReason.STALE,
                                    QualityReason.DOUBTFUL,
                                    QualityReason.NOT_YET_READ)
                            .get(random.nextInt(4));
                    Double number = reason == QualityReason.NOT_YET_READ ? null : (Double) 1.0;
                    world.readings.put(
                            id, new TrustedReading(new Reading(id, number, null, reason, BEFORE), List.of()));
                }
            }
        }
    }

    /** In words: what it says, its quality, and its flags. */
    private static String said(PointValue v) {
        String state = v.state() instanceof PointState.Single s
                ? (s.on() ? "on" : "off")
                : v.state() instanceof PointState.Position p
                        ? p.position().name().toLowerCase(java.util.Locale.ROOT)
                        : "nothing";
        return state + " " + v.quality() + (v.told() ? "" : " untold") + (v.blocked() ? " blocked" : "")
                + (v.test() ? " test" : "") + (v.maintenance() ? " maintenance" : "");
    }

    private static String words(
            ControlPoint p, boolean on, Quality q, boolean told, boolean blocked, boolean test, boolean maintenance) {
        boolean shown = on ^ p.inverted();
        String state = p.type() == PointType.DOUBLE_POINT && !told ? "indeterminate" : shown ? "on" : "off";
        return state + " " + q + (told ? "" : " untold") + (blocked ? " blocked" : "") + (test ? " test" : "")
                + (maintenance ? " maintenance" : "");
    }

    private static String naive(World world, ControlPoint p) {
        if (p.subject() instanceof PointSubject.OfShelving of) {
            return words(p, world.alarm(of.alarm()).shelved, Quality.GOOD, true, false, false, false);
        }
        if (p.subject() instanceof PointSubject.OfAlarm of) {
            Memory m = world.alarm(of.alarm());
            RuleInstance rule = RULES.stream()
                    .filter(r -> r.id().equals(of.alarm()))
                    .findFirst()
                    .orElseThrow();
            for (Standing.AlarmTest test : world.tests) {
                if (test.alarm().equals(of.alarm())) {
                    boolean told = test.forced() || m.told;
                    return words(p, test.forced(), Quality.GOOD, told, false, true, false);
                }
            }
            boolean covered = world.maintenance.stream().anyMatch(w -> Standing.covers(w.of(), rule, FACTS));
            Quality q = covered && m.quality == Quality.GOOD ? Quality.UNCERTAIN : m.quality;
            return words(p, m.active, q, m.active || m.told, m.removed || m.suppressed, false, covered);
        }
        PointSubject.OfSummary of = (PointSubject.OfSummary) p.subject();
        List<StationFacts.Device> devices = FACTS.devices().stream()
                .filter(d -> d.asset().equals(of.asset()))
                .toList();
        boolean maintained = world.maintenance.stream()
                .anyMatch(w -> w.of().equals(of.asset()) || devices.stream().anyMatch(d -> d.id().equals(w.of())));
        List<StationFacts.Device> monitors = devices.stream()
                .filter(d -> !d.kind().map().equals("computed") && !d.id().equals("gateway"))
                .toList();
        return switch (of.summary()) {
            case ALARMS_SHELVED ->
                words(
                        p,
                        RULES.stream().anyMatch(r -> r.asset().id().equals(of.asset()) && world.alarm(r.id()).shelved),
                        Quality.GOOD,
                        true,
                        false,
                        false,
                        false);
            case IN_MAINTENANCE -> words(p, maintained, Quality.GOOD, true, false, false, maintained);
            case TRANSFORMER_TROUBLE -> trouble(world, p, of.asset(), Trouble.TRANSFORMER, maintained);
            case MONITOR_TROUBLE -> trouble(world, p, of.asset(), Trouble.MONITOR, maintained);
            case GATEWAY_TROUBLE -> trouble(world, p, of.asset(), Trouble.GATEWAY, maintained);
            case READINGS_NOT_TRUSTED -> {
                int never = 0;
                int all = 0;
                boolean wrong = false;
                for (TrustedReading r : world.readings.values()) {
                    if (monitors.stream()
                            .anyMatch(d -> d.id().equals(r.reading().id().owner()))) {
                        all++;
                        never += r.reading().reason() == QualityReason.NOT_YET_READ ? 1 : 0;
                        wrong |= List.of(QualityReason.STALE, QualityReason.DOUBTFUL)
                                .contains(r.reading().reason());
                    }
                }
                Quality q = wrong || never == 0 ? Quality.GOOD : never == all ? Quality.BAD : Quality.UNCERTAIN;
                yield words(
                        p, wrong, atBest(q, maintained && !wrong), all == 0 || never < all, false, false, maintained);
            }
            case COMMUNICATION_LOST -> {
                boolean silent = monitors.stream().anyMatch(d -> world.silent.contains(d.id()));
                String alarms = trouble(world, p, of.asset(), Trouble.COMMUNICATION, maintained);
                boolean byAlarm = active(world, of.asset(), Trouble.COMMUNICATION);
                boolean byTest = !byAlarm && alarms.contains(" test");
                if (byAlarm || (byTest && !silent)) {
                    yield alarms;
                }
                long never = monitors.stream().filter(d -> neverRead(world, d)).count();
                boolean told = silent || monitors.isEmpty() || never < monitors.size();
                Quality q = silent || never == 0 ? Quality.GOOD : told ? Quality.UNCERTAIN : Quality.BAD;
                yield words(p, silent, atBest(q, maintained && !silent), told, false, false, maintained);
            }
        };
    }

    private static boolean neverRead(World world, StationFacts.Device device) {
        return !world.silent.contains(device.id())
                && world.readings.values().stream()
                        .filter(r -> r.reading().id().owner().equals(device.id()))
                        .allMatch(r -> r.reading().reason() == QualityReason.NOT_YET_READ);
    }

    private static Quality atBest(Quality q, boolean uncertain) {
        return uncertain && q == Quality.GOOD ? Quality.UNCERTAIN : q;
    }

    private static boolean active(World world, String asset, Trouble trouble) {
        for (RuleInstance r : RULES) {
            Memory m = world.alarm(r.id());
            if (r.asset().id().equals(asset)
                    && r.rule().record().trouble() == trouble
                    && m.active
                    && !m.removed
                    && !m.suppressed) {
                return true;
            }
        }
        return false;
    }

    private static String trouble(World world, ControlPoint p, String asset, Trouble trouble, boolean maintained) {
        List<RuleInstance> all = RULES.stream()
                .filter(r -> r.asset().id().equals(asset) && r.rule().record().trouble() == trouble)
                .toList();
        @Nullable Quality best = null;
        int good = 0;
        int bad = 0;
        int counted = 0;
        boolean told = all.isEmpty();
        for (RuleInstance r : all) {
            Memory m = world.alarm(r.id());
            told |= m.told || m.active;
            if (m.removed || m.suppressed) {
                continue;
            }
            counted++;
            if (m.active && (best == null || m.quality.ordinal() < best.ordinal())) {
                best = m.quality;
            }
            good += m.quality == Quality.GOOD && (m.told || m.active) ? 1 : 0;
            bad += m.quality == Quality.BAD || !(m.told || m.active) ? 1 : 0;
        }
        if (best != null) {
            return words(p, true, best, true, false, false, maintained);
        }
        boolean forced =
                world.tests.stream().anyMatch(t -> t.forced() && all.stream().anyMatch(r -> r.id().equals(t.alarm())));
        if (forced) {
            return words(p, true, Quality.GOOD, true, false, true, maintained);
        }
        Quality q = all.isEmpty() || (counted > 0 && good == counted)
                ? Quality.GOOD
                : bad == counted ? Quality.BAD : Quality.UNCERTAIN;
        return words(p, false, atBest(q, maintained), told, false, false, maintained);
    }
}
