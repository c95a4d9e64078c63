package oilbird.gateway.command.inspect;

import java.io.IOException;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.FileAlreadyExistsException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import oilbird.gateway.command.StationCheck;
import oilbird.mapping.map.DeviceMap;
import oilbird.mapping.map.MapReader;
import oilbird.mapping.text.Loaded;
import org.jspecify.annotations.Nullable;

/**
 * A drafted map, put where it was asked for and read as the gateway would read it.
 *
 * @param written the name under which it was read.
 * @param map null where nothing usable came of it, which has then been told.
 * @param status the exit status that goes with it.
 */
public record DraftedMap(String written, @Nullable DeviceMap map, int status) {
    /**
     * @param to null for the output; a file that exists is never overwritten.
     * @throws IOException if the file cannot be written.
     */
    public static DraftedMap put(String yaml, String name, @Nullable Path to, PrintStream out) throws IOException {
        String written = to == null ? name + ".yaml" : to.toString();
        if (to == null) {
            out.print(yaml);
        } else {
            try {
                Files.writeString(to, yaml, StandardCharsets.UTF_8, StandardOpenOption.CREATE_NEW);
            } catch (FileAlreadyExistsException exists) {
                out.println(to + " exists and was left as it is; name another file, or move it away");
                return new DraftedMap(written, null, ExitStatus.DID_NOT_WORK);
            }
        }
        Loaded<DeviceMap> read = MapReader.read(written, yaml);
        StationCheck.list(read.problems(), out);
        if (read.value() == null) {
            out.println("The draft needs the corrections above before it can be used.");
            return new DraftedMap(written, null, ExitStatus.REFUSED);
        }
        return new DraftedMap(written, read.value(), ExitStatus.DONE);
    }
}
