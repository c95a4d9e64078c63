package oilbird.gateway.engine.simulation;

import static org.assertj.core.api.Assertions.assertThat;

import java.nio.file.Path;
import java.time.Duration;
import java.util.logging.Level;
import java.util.logging.Logger;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.station.StationEvent;
import oilbird.alarm.station.StationView;
import oilbird.gateway.engine.record.RecordedEvent;
import oilbird.gateway.engine.writer.WriterSettings;
import org.assertj.core.data.Offset;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** The power goes, and the gateway knows afterwards what it knew before; the record is the one on disk. */
class RestartTest {
    private static final Logger LOG = Logger.getLogger("oilbird");
    private static final AlarmId RISING = new AlarmId("t1", "gas-t1.hydrogen-rising");
    private static final String RULES =
            """
            alarm_rules: 1
            owner: Fenmarch Electric (invented)
            rationalized: {by: test, on: 2026-01-01}
            rules:
              hydrogen-rising:
                for: {devices: [gas-t1]}
                when: {rate: hydrogen, unit: ppm/h, window: 10 min, high: 2000}
                says: hydrogen rises fast
                class: equipment-health
                priority: major
            """;

    @TempDir
    Path data;

    @BeforeAll
    static void quiet() {
        LOG.setLevel(Level.OFF);
    }

    private StationView.AlarmView rising(World world) {
        return Windlow.known(
                Windlow.known(world.gateway(), "gateway").view().alarms().get(RISING), RISING);
    }

    @Test
    void aRateGoesOnFromItsSamplesAfterThePowerWasLost() {
        Store store = Store.onDisk(data);
        World world = new World(
                3, store, PlantedFault.NONE, WriterSettings.DEFAULT, Windlow.STATION.with(RULES));
        ScriptedDevice monitor = world.device("gas-t1");
        for (int analysis = 0; analysis < 48; analysis++) {
            float ppm = 20 + analysis; // one ppm each 15 s
            world.timeline().in(analysis * 15 * Timeline.SECOND, () -> monitor.setHydrogen(ppm));
        }
        world.run(Duration.ofMinutes(9));
        assertThat(rising(world).value()).isCloseTo(240, Offset.offset(12.0));
        int starts = world.starts();
        world.powerGoesIn(1);
        world.run(Duration.ofSeconds(90));
        assertThat(world.starts()).isGreaterThan(starts);
        assertThat(rising(world).value())
                .as("the window of ten minutes was half empty without what was kept")
                .isCloseTo(240, Offset.offset(12.0));
        store.ended();
    }

    @Test
    void anUndocumentedBitIsToldOnceHoweverOftenThePowerGoes() {
        Store store = Store.onDisk(data);
        World world = new World(4, store, PlantedFault.NONE, WriterSettings.DEFAULT);
        world.run(Duration.ofSeconds(20));
        world.device("gas-t1").setUndocumentedBit();
        world.run(Duration.ofSeconds(2));
        for (int loss = 0; loss < 3; loss++) {
            int starts = world.starts();
            world.powerGoesIn(1);
            for (int second = 0; second < 30 && world.starts() == starts; second++) {
                world.run(Duration.ofSeconds(1));
            }
            assertThat(world.starts()).isGreaterThan(starts);
        }
        world.run(Duration.ofSeconds(2));
        assertThat(world.observer().announced())
                .extracting(RecordedEvent::event)
                .filteredOn(event -> event instanceof StationEvent.Notice notice
                        && notice.kind() == StationEvent.Notice.Kind.UNDOCUMENTED_BIT)
                .hasSize(1);
        store.ended();
    }
}
