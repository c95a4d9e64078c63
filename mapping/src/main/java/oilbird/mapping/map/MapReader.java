package oilbird.mapping.map;

import oilbird.mapping.text.Loaded;

/** Reads a device map from the text of its YAML file. */
public final class MapReader {
    private MapReader() {}

    /**
     * A device map, or every mistake that prevents one. Never throws, whatever the text.
     *
     * @param fileName as the user would write it, for positions.
     */
    public static Loaded<DeviceMap> read(String fileName, String text) {
        throw new UnsupportedOperationException(fileName);
    }
}
