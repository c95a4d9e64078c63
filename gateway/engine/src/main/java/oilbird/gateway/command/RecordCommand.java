package oilbird.gateway.command;

import java.io.IOException;
import java.io.PrintStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Instant;
import java.util.List;
import java.util.stream.Stream;
import oilbird.gateway.engine.record.EventRecord;
import oilbird.gateway.engine.record.RecordVerifier;

/** Checks the event record of a data folder, or copies it, while a gateway may be writing to it. */
final class RecordCommand {
    /** It could not be done at all. */
    static final int FAILED = 1;

    /** The record can be read and something of it is lost or was changed. */
    static final int NOT_WHOLE = 6;

    private RecordCommand() {}

    /**
     * Walks the hash chain from the first event to the last.
     *
     * @param data a data folder, or the file of a backup.
     */
    static int verify(Path data, PrintStream out) {
        boolean folder = Files.isDirectory(data);
        Path file = folder ? data.resolve(EventRecord.FILE) : data;
        if (!Files.isRegularFile(file)) {
            out.println(file + " does not exist; name the gateway's data folder or the file of a backup");
            return FAILED;
        }
        int status = walk(file, out);
        if (folder) {
            setAside(data).forEach(old -> out.println("also there, set aside as damaged: " + old));
        }
        return status;
    }

    /** Copies the record to a new file and walks the copy. */
    static int backup(Path data, Path target, PrintStream out) {
        if (!Files.isRegularFile(data.resolve(EventRecord.FILE))) {
            out.println(data + " holds no event record; name the gateway's data folder");
            return FAILED;
        }
        try {
            EventRecord.backup(data, target, Instant.now());
        } catch (IOException e) {
            out.println(e.getMessage());
            return FAILED;
        }
        out.println("copied to " + target);
        return walk(target, out);
    }

    private static int walk(Path file, PrintStream out) {
        RecordVerifier.Verification verification;
        try {
            verification = RecordVerifier.verify(file);
        } catch (IOException e) {
            out.println(file + " cannot be read: " + e.getMessage());
            return FAILED;
        }
        verification.findings().forEach(finding -> out.println(finding.text()));
        String events = verification.rows() + (verification.rows() == 1 ? " event" : " events");
        if (verification.whole()) {
            out.println(file + ": " + events + ", nothing lost and nothing changed since it was written");
            return 0;
        }
        out.println(file + ": " + events + " can be read; the record is not whole, see above");
        return NOT_WHOLE;
    }

    private static List<Path> setAside(Path data) {
        try (Stream<Path> files = Files.list(data)) {
            return files.filter(file -> file.getFileName().toString().startsWith(EventRecord.FILE + ".damaged-"))
                    .filter(file -> !file.toString().endsWith("-wal")
                            && !file.toString().endsWith("-shm"))
                    .sorted()
                    .toList();
        } catch (IOException e) {
            return List.of();
        }
    }
}
