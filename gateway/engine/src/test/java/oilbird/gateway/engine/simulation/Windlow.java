package oilbird.gateway.engine.simulation;

import java.nio.file.Files;
import java.nio.file.Path;
import java.util.LinkedHashMap;
import java.util.Map;
import oilbird.alarm.rule.RuleInstance;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.station.StationModel;
import oilbird.gateway.station.PolledDevice;
import oilbird.gateway.station.Station;
import oilbird.gateway.station.StationFolder;
import oilbird.mapping.decode.Decoder;
import oilbird.mapping.text.Loaded;

/**
 * A small station of its own, read once for all simulations of this process: two transformers, two kinds of monitor, an
 * analysis every 15 s. It changes only when a simulation is meant to change.
 */
final class Windlow {
    static final Windlow STATION = new Windlow();

    private final Path folder;
    private final Station station;
    private final StationModel model;
    private final Map<String, Decoder> decoders = new LinkedHashMap<>();
    private final Map<AlarmId, RuleInstance> rules = new LinkedHashMap<>();

    private Windlow() {
        Path beside = Path.of("src/test/resources/oilbird/gateway/engine/simulation/windlow");
        folder = Files.isDirectory(beside) ? beside : Path.of("gateway/engine").resolve(beside);
        Loaded<Station> loaded = StationFolder.load(folder);
        station = loaded.result()
                .orElseThrow(() -> new IllegalStateException(loaded.problems().toString()));
        StationModel read = station.model();
        // Without the digest of the files: a corrected word in a rule's text must not change any event.
        model = new StationModel(read.facts(), read.rules(), read.causes(), read.settings(), "", read.transformers());
        for (PolledDevice device : station.devices()) {
            decoders.put(device.id(), new Decoder(device.map()));
        }
        model.rules().forEach(rule -> rules.put(rule.id(), rule));
    }

    Station station() {
        return station;
    }

    StationModel model() {
        return model;
    }

    /** The station with one more rule file. */
    StationModel with(String rules) {
        Map<String, String> files = new LinkedHashMap<>(StationFolder.read(folder).rules());
        files.put("rules/more.yaml", rules);
        Loaded<Station> loaded = StationFolder.withRules(folder, files);
        return loaded.result()
                .orElseThrow(() -> new IllegalStateException(loaded.problems().toString()))
                .model();
    }

    String gateway() {
        return model.facts().gateway();
    }

    Decoder decoder(String device) {
        return known(decoders.get(device), device);
    }

    RuleInstance rule(AlarmId alarm) {
        return known(rules.get(alarm), alarm);
    }

    static <T> T known(@org.jspecify.annotations.Nullable T found, Object what) {
        if (found == null) {
            throw new IllegalStateException("the station has no " + what);
        }
        return found;
    }
}
