package oilbird.gateway.command;

import java.io.IOException;
import java.io.PrintStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.stream.Stream;
import oilbird.gateway.contract.ExportedRecord;
import oilbird.gateway.engine.record.EventRecord;
import oilbird.gateway.engine.record.RecordVerifier;
import oilbird.gateway.engine.record.SessionChain;
import org.jspecify.annotations.Nullable;

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

    /**
     * Verifies the record of a guided fault-finding that has left the gateway.
     *
     * @param export its JSON file.
     * @param data the data folder or a backup, to be compared with; null where neither is at hand.
     */
    static int verifyFaultFinding(Path export, @Nullable Path data, PrintStream out) {
        ExportedRecord record;
        try {
            record = ExportedRecord.verify(Files.readAllBytes(export));
        } catch (IOException e) {
            out.println(export + " cannot be verified: " + e.getMessage());
            return FAILED;
        }
        List<String> findings = new ArrayList<>(record.findings());
        if (data != null) {
            Path file = Files.isDirectory(data) ? data.resolve(EventRecord.FILE) : data;
            try {
                findings.addAll(SessionChain.compare(record.rows(), file));
            } catch (IOException e) {
                out.println(file + " cannot be read: " + e.getMessage());
                return FAILED;
            }
        }
        findings.forEach(out::println);
        if (!findings.isEmpty()) {
            out.println(export + ": REFUSED, it is not what was recorded; see above");
            return NOT_WHOLE;
        }
        out.println(export + ": fault-finding " + record.session() + ", "
                + record.rows().size() + " steps, nothing missing and nothing changed among steps and measurements");
        out.println("seal " + record.seal());
        out.println(
                data == null
                        ? "A record made anew from the beginning would pass as well: compare the seal with that of the"
                                + " printed record, or name the gateway's data folder as well."
                        : "The same stands in the event record " + data + ".");
        return 0;
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
