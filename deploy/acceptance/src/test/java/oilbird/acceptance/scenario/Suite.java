package oilbird.acceptance.scenario;

import java.io.IOException;
import java.io.InputStream;
import java.io.UncheckedIOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.time.Duration;
import java.util.List;
import oilbird.alarm.station.Past;
import oilbird.demoplant.plant.Plant;
import oilbird.gateway.station.Station;
import oilbird.gateway.station.StationFolder;
import oilbird.mapping.text.Loaded;

/**
 * All scenarios on one seed of the plant. The station has watched the healthy plant for some days before each, so
 * that it knows usual levels.
 */
final class Suite {
    private static final Duration LEARNING = Duration.ofDays(6);

    private final Station station;
    private final long seed;
    private final double strength;
    private final Past healthy;

    /**
     * @param strength multiplies the strength of every fault.
     */
    Suite(Station station, long seed, double strength) {
        this.station = station;
        this.seed = seed;
        this.strength = strength;
        this.healthy = new Run(station, Plant.windlow(seed), Duration.ZERO, Past.NONE)
                .until(LEARNING)
                .past();
    }

    static Station station() {
        Path root = Path.of(System.getProperty("oilbird.root", "../.."));
        Loaded<Station> loaded =
                StationFolder.load(root.resolve(System.getProperty("oilbird.station", "deploy/demo-station")));
        return loaded.result().orElseThrow(() -> new IllegalStateException(String.valueOf(loaded.problems())));
    }

    static List<Scenario> scenarios() {
        try (InputStream in = Suite.class.getResourceAsStream("scenarios.txt")) {
            if (in == null) {
                throw new IllegalStateException("no scenarios");
            }
            return Scenario.read(new String(in.readAllBytes(), StandardCharsets.UTF_8));
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
    }

    Outcome play(Scenario scenario) {
        return Outcome.of(scenario, run(scenario));
    }

    /** The scenario, played until it is judged. */
    Run run(Scenario scenario) {
        Plant plant = Plant.windlow(seed);
        for (Scenario.Play play : scenario.plays()) {
            plant.inject(play.after(LEARNING, play.cause().target().equals("weather") ? 1 : strength));
        }
        return new Run(station, plant, LEARNING, healthy).until(LEARNING.plus(scenario.judged()));
    }
}
