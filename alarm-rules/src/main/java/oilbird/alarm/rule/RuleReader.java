package oilbird.alarm.rule;

import java.util.List;
import oilbird.mapping.text.Loaded;

/** Reads a rule file: structure by its schema, then meaning as far as the file alone shows it. */
public final class RuleReader {
    private RuleReader() {}

    /**
     * @param file path for messages, relative to the station folder.
     * @param text the whole file.
     */
    public static Loaded<List<AlarmRule>> read(String file, String text) {
        throw new UnsupportedOperationException("in work: " + file + text.length());
    }
}
