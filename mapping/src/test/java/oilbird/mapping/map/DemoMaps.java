package oilbird.mapping.map;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.file.Files;
import java.nio.file.Path;
import oilbird.mapping.text.Loaded;

/** The device maps of the demo station, read from where the station keeps them. */
public final class DemoMaps {
    private static final Path FOLDER = Path.of("..", "deploy", "demo-station", "maps");

    private DemoMaps() {}

    public static String text(String name) {
        try {
            return Files.readString(FOLDER.resolve(name + ".yaml"));
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
    }

    public static DeviceMap map(String name) {
        Loaded<DeviceMap> loaded = MapReader.read("maps/" + name + ".yaml", text(name));
        return loaded.result()
                .orElseThrow(() -> new AssertionError(loaded.problems().toString()));
    }
}
