package oilbird.gateway.app.wiring;

import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.concurrent.CompletionException;
import java.util.concurrent.TimeUnit;
import oilbird.alarm.state.Actor;
import oilbird.alarm.station.StationInput;
import oilbird.alarm.station.StationModel;
import oilbird.gateway.engine.clock.GatewayClock;
import oilbird.gateway.engine.writer.ActDoor;
import oilbird.gateway.engine.writer.ActResult;
import oilbird.gateway.station.RuleVersions;
import oilbird.gateway.station.Station;
import oilbird.gateway.station.StationDifference;
import oilbird.gateway.station.StationFolder;
import oilbird.mapping.text.Loaded;
import oilbird.mapping.text.Problem;
import org.jspecify.annotations.Nullable;

/** Loads other rules into the running gateway, and goes back to those before. One at a time. */
public final class RulesDesk {
    private static final long PATIENCE_SECONDS = 15;

    /** What became of it. */
    public sealed interface Outcome {
        /**
         * These rules are in force.
         *
         * @param told what a person should know about it: warnings, or what is not kept.
         */
        record InForce(StationModel model, List<String> told) implements Outcome {}

        /** The old rules go on, for these reasons. */
        record Refused(List<String> why) implements Outcome {}
    }

    private final Path folder;
    private final Station running;
    private final RuleVersions versions;
    private final ActDoor door;
    private final GatewayClock clock;
    private StationModel inForce;

    /**
     * @param folder the station folder that the gateway runs on.
     * @param running the station as it was started.
     */
    RulesDesk(Path folder, Station running, RuleVersions versions, ActDoor door, GatewayClock clock) {
        this.folder = folder;
        this.running = running;
        this.versions = versions;
        this.door = door;
        this.clock = clock;
        this.inForce = running.model();
    }

    public synchronized StationModel inForce() {
        return inForce;
    }

    /** Digests that {@link #back} can reach, oldest first, the one in force last. */
    public synchronized List<String> history() throws IOException {
        return versions.history();
    }

    /**
     * Why this gateway is not the one that is meant; null where it is.
     *
     * @param meant the station folder that a person named.
     */
    public @Nullable String otherFolder(String meant) {
        Path real = real(folder);
        return real.equals(real(Path.of(meant)))
                ? null
                : "this gateway runs on the station folder " + real + ", not on " + meant
                        + "; name that one, or the port of the other gateway";
    }

    private static Path real(Path path) {
        try {
            return path.toRealPath();
        } catch (IOException e) {
            return path.toAbsolutePath().normalize();
        }
    }

    /** Reads the station folder anew and puts its rules in force, or says every mistake and leaves the old ones. */
    public synchronized Outcome load(Actor by) throws IOException {
        StationFolder.Read read = StationFolder.read(folder);
        Outcome outcome = take(read.station(), by, List.of());
        if (outcome instanceof Outcome.InForce now) {
            versions.taken(now.model().rulesVersion(), read.rules());
        }
        return outcome;
    }

    /** Puts the version before in force again. */
    public synchronized Outcome back(Actor by) throws IOException {
        String before = versions.previous().orElse("");
        if (before.isEmpty()) {
            return new Outcome.Refused(List.of("there is no version of the rules before this one"));
        }
        Map<String, String> files = versions.files(before);
        Loaded<Station> present = StationFolder.load(folder);
        String inFolder = present.result().map(s -> s.model().rulesVersion()).orElse(inForce.rulesVersion());
        Outcome outcome = take(
                StationFolder.withRules(folder, files),
                by,
                List.of("the station folder still has the other rules; as long as it stays as it is, a start keeps to"
                        + " these"));
        if (outcome instanceof Outcome.InForce) {
            versions.wentBack(inFolder);
        }
        return outcome;
    }

    private Outcome take(Loaded<Station> read, Actor by, List<String> more) {
        List<String> problems =
                new ArrayList<>(read.problems().stream().map(Problem::toString).toList());
        Station next = read.value();
        if (next == null) {
            return new Outcome.Refused(problems);
        }
        List<String> different = StationDifference.between(running, next);
        ActResult result;
        try {
            result = door.act(new StationInput.RulesLoaded(next.model(), by, clock.now()))
                    .orTimeout(PATIENCE_SECONDS, TimeUnit.SECONDS)
                    .join();
        } catch (CompletionException e) {
            return new Outcome.Refused(List.of("the disk did not confirm it within " + PATIENCE_SECONDS
                    + " s; it may still be done: look before you try again"));
        }
        if (result instanceof ActResult.Refused refused) {
            List<String> why = new ArrayList<>(List.of(refused.refusal().message()));
            why.addAll(different);
            return new Outcome.Refused(why);
        }
        if (result instanceof ActResult.NotTaken notTaken) {
            return new Outcome.Refused(List.of(notTaken.why()));
        }
        inForce = next.model();
        different.forEach(each -> problems.add(each + "; taken over at the next start of the gateway, not now"));
        problems.addAll(more);
        return new Outcome.InForce(next.model(), problems);
    }
}
