package oilbird.gateway.modbus.inspect;

import java.io.IOException;
import java.io.PrintStream;
import java.nio.charset.CharacterCodingException;
import java.nio.charset.Charset;
import java.nio.charset.StandardCharsets;
import java.nio.file.FileAlreadyExistsException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import oilbird.gateway.command.StationCheck;
import oilbird.gateway.command.inspect.ExitStatus;
import oilbird.mapping.draft.MapDraft;
import oilbird.mapping.map.DeviceMap;
import oilbird.mapping.map.MapReader;
import oilbird.mapping.text.Loaded;
import org.jspecify.annotations.Nullable;

/** Drafts a map from a maker's point list. */
final class Drafting {
    private Drafting() {}

    /**
     * @param to null for the output; a file that exists is never overwritten.
     */
    static int run(Path list, String name, boolean oneBased, @Nullable Path to, PrintStream out) {
        MapDraft draft;
        try {
            draft = MapDraft.from(list.toString(), text(list), name, oneBased);
        } catch (IOException unreadable) {
            out.println(list + " cannot be read: " + unreadable.getMessage());
            return ExitStatus.REFUSED;
        }
        draft.remarks().forEach(out::println);
        if (draft.yaml().isEmpty()) {
            return ExitStatus.REFUSED;
        }
        if (to == null) {
            out.print(draft.yaml());
        } else {
            try {
                Files.writeString(to, draft.yaml(), StandardCharsets.UTF_8, StandardOpenOption.CREATE_NEW);
            } catch (FileAlreadyExistsException exists) {
                out.println(to + " exists and was left as it is; name another file, or move it away");
                return ExitStatus.DID_NOT_WORK;
            } catch (IOException unwritable) {
                out.println(to + " cannot be written: " + unwritable.getMessage());
                return ExitStatus.DID_NOT_WORK;
            }
        }
        String written = to == null ? name + ".yaml" : to.toString();
        Loaded<DeviceMap> read = MapReader.read(written, draft.yaml());
        StationCheck.list(read.problems(), out);
        DeviceMap map = read.value();
        if (map == null) {
            out.println("The draft needs the corrections above before it can be used.");
            return ExitStatus.REFUSED;
        }
        out.println("Drafted " + written + ": " + map.points().size() + " points, "
                + map.indications().size() + " indications, " + map.readPlan().size() + " requests; "
                + draft.remarks().size() + " remarks above on what the list does not say.");
        return ExitStatus.DONE;
    }

    /** Lists come out of spreadsheets, whose Western code page is still common. */
    private static String text(Path list) throws IOException {
        try {
            return Files.readString(list);
        } catch (CharacterCodingException notUtf8) {
            return Files.readString(list, Charset.forName("windows-1252"));
        }
    }
}
