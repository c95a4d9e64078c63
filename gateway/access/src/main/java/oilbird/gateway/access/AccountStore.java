package oilbird.gateway.access;

import java.io.IOException;
import java.nio.channels.FileChannel;
import java.nio.channels.FileLock;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import java.nio.file.StandardOpenOption;
import java.nio.file.attribute.FileTime;
import java.util.List;
import java.util.function.Function;
import oilbird.mapping.text.Loaded;
import oilbird.mapping.text.Problem;
import org.jspecify.annotations.Nullable;

/**
 * The accounts in the data folder, shared by the gateway and its commands. Written as a whole, durably, and readable
 * by its owner only; one process changes it at a time. Thread-safe.
 */
public final class AccountStore {
    /** Folder below the data folder for all that access needs. */
    public static final String FOLDER = "access";

    private static final String IN_FORCE = "in-force.yaml";

    private final Path folder;
    private final Path file;
    private @Nullable Seen seen;

    /** What a file was when it was read. */
    private record Seen(FileTime modified, long size, Object key, Loaded<Accounts> read) {}

    /**
     * @param data folder of the gateway.
     */
    public AccountStore(Path data) {
        this.folder = data.resolve(FOLDER);
        this.file = folder.resolve(AccountFile.NAME);
    }

    /**
     * The accounts as they are now; no accounts where there is no file. A file with mistakes gives its mistakes, and
     * nobody may take it for an empty one.
     *
     * @throws IOException if the file cannot be read.
     */
    public synchronized Loaded<Accounts> read() throws IOException {
        try {
            var attributes = Files.readAttributes(file, java.nio.file.attribute.BasicFileAttributes.class);
            Object key = String.valueOf(attributes.fileKey());
            Seen last = seen;
            if (last != null
                    && last.modified().equals(attributes.lastModifiedTime())
                    && last.size() == attributes.size()
                    && last.key().equals(key)) {
                return last.read();
            }
            Loaded<Accounts> read = AccountFile.read(Files.readString(file, StandardCharsets.UTF_8));
            seen = new Seen(attributes.lastModifiedTime(), attributes.size(), key, read);
            return read;
        } catch (NoSuchFileException e) {
            seen = null;
            return new Loaded<>(Accounts.NONE, List.of());
        }
    }

    /**
     * Changes the accounts, unless the change refuses.
     *
     * @throws IOException if the file cannot be read, has mistakes, or cannot be written; then nothing has changed.
     */
    public synchronized Accounts.Outcome change(Function<Accounts, Accounts.Outcome> change) throws IOException {
        OwnerOnly.folder(folder);
        try (FileChannel lockFile = FileChannel.open(
                        OwnerOnly.file(folder.resolve("lock")), StandardOpenOption.WRITE, StandardOpenOption.CREATE);
                FileLock lock = lockFile.lock()) {
            Loaded<Accounts> read = read();
            Accounts present = read.value();
            if (present == null) {
                throw new IOException(file + " has mistakes: "
                        + String.join(
                                "\n",
                                read.problems().stream().map(Problem::toString).toList()));
            }
            Accounts.Outcome outcome = change.apply(present);
            if (outcome instanceof Accounts.Outcome.Done done) {
                write(file, AccountFile.write(done.next()));
            }
            assert lock.isValid();
            return outcome;
        }
    }

    /** Leaves for the commands what the station folder says about access; they do not know that folder. */
    public synchronized void inForce(AccessRules rules) throws IOException {
        if (!rules.equals(inForce())) {
            OwnerOnly.folder(folder);
            write(folder.resolve(IN_FORCE), rules.written());
        }
    }

    /** What the gateway found at its last start; the default before the first. */
    public synchronized AccessRules inForce() throws IOException {
        try {
            return AccessRules.read(Files.readString(folder.resolve(IN_FORCE)))
                    .result()
                    .orElse(AccessRules.DEFAULT);
        } catch (NoSuchFileException e) {
            return AccessRules.DEFAULT;
        }
    }

    private void write(Path file, String text) throws IOException {
        Path next = OwnerOnly.file(file.resolveSibling(file.getFileName() + ".next"));
        try (FileChannel out = FileChannel.open(next, StandardOpenOption.WRITE, StandardOpenOption.TRUNCATE_EXISTING)) {
            var bytes = java.nio.ByteBuffer.wrap(text.getBytes(StandardCharsets.UTF_8));
            while (bytes.hasRemaining()) {
                out.write(bytes);
            }
            out.force(true);
        }
        Files.move(next, file, StandardCopyOption.ATOMIC_MOVE, StandardCopyOption.REPLACE_EXISTING);
        try (FileChannel directory = FileChannel.open(folder, StandardOpenOption.READ)) {
            directory.force(true);
        }
    }
}
