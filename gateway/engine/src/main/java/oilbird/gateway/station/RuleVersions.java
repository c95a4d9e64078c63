package oilbird.gateway.station;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.stream.Stream;

/**
 * The rule files of every version that was in force, kept in the data folder below {@code rules}: one folder a
 * version, named by its digest, and the file {@code history} with one digest a line, the one in force last. Not
 * thread-safe.
 */
public final class RuleVersions {
    private static final String HISTORY = "history";
    private static final String ROLLED_BACK_FROM = "rolled-back-from";

    private final Path folder;

    /**
     * @param data the gateway's data folder.
     */
    public RuleVersions(Path data) {
        this.folder = data.resolve("rules");
    }

    /** Digests, oldest first, the one in force last. */
    public List<String> history() throws IOException {
        return lines(HISTORY);
    }

    /** Keeps the files of a version and takes it as the one in force. */
    public void taken(String digest, Map<String, String> files) throws IOException {
        keep(digest, files);
        List<String> history = new ArrayList<>(history());
        if (history.isEmpty() || !history.get(history.size() - 1).equals(digest)) {
            history.add(digest);
            write(HISTORY, history);
        }
        Files.deleteIfExists(folder.resolve(ROLLED_BACK_FROM));
    }

    /** The version before the one in force; empty where there is none. */
    public Optional<String> previous() throws IOException {
        List<String> history = history();
        return history.size() < 2 ? Optional.empty() : Optional.of(history.get(history.size() - 2));
    }

    /**
     * The version before is in force again.
     *
     * @param inFolder digest of the station folder as it is now; while it stays so, a start keeps to the version
     *     that was gone back to.
     */
    public void wentBack(String inFolder) throws IOException {
        List<String> history = history();
        write(HISTORY, history.subList(0, history.size() - 1));
        write(ROLLED_BACK_FROM, List.of(inFolder));
    }

    /** The version that a start must take in the place of the folder's, since a person went back to it. */
    public Optional<String> insteadOf(String inFolder) throws IOException {
        List<String> history = history();
        return lines(ROLLED_BACK_FROM).contains(inFolder) && !history.isEmpty()
                ? Optional.of(history.get(history.size() - 1))
                : Optional.empty();
    }

    /** The files of a version, by their names below the station folder. */
    public Map<String, String> files(String digest) throws IOException {
        Map<String, String> files = new LinkedHashMap<>();
        Path version = folder.resolve(digest);
        try (Stream<Path> kept = Files.list(version)) {
            for (Path file : kept.sorted().toList()) {
                files.put("rules/" + file.getFileName(), Files.readString(file));
            }
        }
        return files;
    }

    private void keep(String digest, Map<String, String> files) throws IOException {
        Path version = folder.resolve(digest);
        if (Files.isDirectory(version)) {
            return;
        }
        Path unfinished = folder.resolve(digest + ".unfinished");
        Files.createDirectories(unfinished);
        for (Map.Entry<String, String> file : files.entrySet()) {
            Path name = Path.of(file.getKey()).getFileName();
            Files.writeString(unfinished.resolve(name), file.getValue(), StandardCharsets.UTF_8);
        }
        Files.move(unfinished, version, StandardCopyOption.ATOMIC_MOVE);
    }

    private List<String> lines(String name) throws IOException {
        Path file = folder.resolve(name);
        return Files.exists(file) ? Files.readAllLines(file) : List.of();
    }

    private void write(String name, List<String> lines) throws IOException {
        Files.createDirectories(folder);
        Path unfinished = folder.resolve(name + ".unfinished");
        Files.write(unfinished, lines);
        Files.move(
                unfinished, folder.resolve(name), StandardCopyOption.ATOMIC_MOVE, StandardCopyOption.REPLACE_EXISTING);
    }
}
