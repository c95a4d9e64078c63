package oilbird.gateway.modbus.inspect;

import java.io.IOException;
import java.io.PrintStream;
import java.nio.charset.CharacterCodingException;
import java.nio.charset.Charset;
import java.nio.file.Files;
import java.nio.file.Path;
import oilbird.gateway.command.inspect.DraftedMap;
import oilbird.gateway.command.inspect.ExitStatus;
import oilbird.mapping.draft.MapDraft;
import oilbird.mapping.map.DeviceMap;
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
        DraftedMap drafted;
        try {
            drafted = DraftedMap.put(draft.yaml(), name, to, out);
        } catch (IOException unwritable) {
            out.println(to + " cannot be written: " + unwritable.getMessage());
            return ExitStatus.DID_NOT_WORK;
        }
        DeviceMap map = drafted.map();
        if (map == null) {
            return drafted.status();
        }
        out.println("Drafted " + drafted.written() + ": " + map.points().size() + " points, "
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
