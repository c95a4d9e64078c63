package oilbird.gateway.command.inspect;

import java.io.IOException;
import java.io.PrintStream;
import java.nio.charset.CharacterCodingException;
import java.nio.charset.StandardCharsets;
import java.nio.file.FileSystems;
import java.nio.file.Files;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import java.util.List;
import oilbird.gateway.command.StationCheck;
import oilbird.mapping.map.DeviceMap;
import oilbird.mapping.map.MapReader;
import oilbird.mapping.map.Verification;
import oilbird.mapping.map.VerificationMark;
import oilbird.mapping.text.Loaded;
import org.jspecify.annotations.Nullable;

/** A device map in its file. */
public final class MapFile {
    private final Path file;
    private @Nullable DeviceMap map;

    private MapFile(Path file) {
        this.file = file;
    }

    public static MapFile at(Path file) {
        return new MapFile(file);
    }

    /** False when there is no usable map, which was then told. */
    public boolean load(PrintStream out) {
        String text = text(out);
        if (text == null) {
            return false;
        }
        Loaded<DeviceMap> loaded = MapReader.read(file.toString(), text);
        StationCheck.list(loaded.problems(), out);
        map = loaded.value();
        return map != null;
    }

    public DeviceMap map() {
        DeviceMap loaded = map;
        if (loaded == null) {
            throw new IllegalStateException(file + " is not loaded");
        }
        return loaded;
    }

    private @Nullable String text(PrintStream out) {
        try {
            return Files.readString(file);
        } catch (NoSuchFileException absent) {
            out.println(file + ": there is no such file");
        } catch (CharacterCodingException notUtf8) {
            out.println(file + ": this is not UTF-8; save the file in UTF-8");
        } catch (IOException unreadable) {
            out.println(file + " cannot be read: " + unreadable.getMessage());
        }
        return null;
    }

    /**
     * Writes into the file that somebody compared these. The file is read anew, so that what was changed in it
     * meanwhile stays.
     *
     * @return false when nothing was written, which was then told.
     */
    public boolean mark(List<String> names, Verification by, PrintStream out) {
        String text = text(out);
        if (text == null) {
            return false;
        }
        Loaded<String> marked = VerificationMark.write(file.toString(), text, names, by);
        String changed = marked.value();
        if (changed == null) {
            StationCheck.list(marked.problems(), out);
            return false;
        }
        try {
            replace(changed);
        } catch (IOException unwritable) {
            out.println(file + " cannot be written: " + unwritable.getMessage());
            return false;
        }
        out.println("marked in " + file + ": " + String.join(", ", names) + " (" + by.by() + ", " + by.on() + ")");
        return true;
    }

    /** In one step, so that a power cut leaves the old file or the new one. */
    private void replace(String text) throws IOException {
        Path real = file.toRealPath();
        Path beside = real.resolveSibling(real.getFileName() + ".new");
        Files.writeString(beside, text, StandardCharsets.UTF_8);
        if (FileSystems.getDefault().supportedFileAttributeViews().contains("posix")) {
            Files.setPosixFilePermissions(beside, Files.getPosixFilePermissions(real));
        }
        Files.move(beside, real, StandardCopyOption.ATOMIC_MOVE, StandardCopyOption.REPLACE_EXISTING);
    }
}
