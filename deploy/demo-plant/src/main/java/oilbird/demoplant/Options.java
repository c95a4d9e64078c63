package oilbird.demoplant;

import java.time.Duration;
import java.util.Iterator;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/**
 * What the command line asks for.
 *
 * @param runFor how long to run; empty until told to quit
 * @param scenes whether and how the scenes are played
 * @param controlRoom whether the broker and the reader of alarms run
 * @param ports port of each device and door by name, 0 for any free one
 * @param seed seed of all noise
 */
record Options(
        Optional<Duration> runFor, Plant.Scenes scenes, boolean controlRoom, Map<String, Integer> ports, long seed) {
    static final String USAGE = """
            demo plant: four invented monitors on Modbus TCP, and a stand-in for the control room; all on 127.0.0.1

              [--for 120s]           end after this time (s or m); else on the command quit
              [--no-script]          no scenes: everything healthy until a command says otherwise
              [--hold-script]        scenes wait for the command resume
              [--no-control-room]    no MQTT broker and no reader of alarms
              [--ports 0 | NAME=N,...]   gas-t1, cooling-t1, gas-t2, cooling-t2, mqtt, http; 0: any free one
              [--seed N]             other noise, same scenes
              fleet --devices N --port P [--for 60s] [--flips-per-second N]
                                     many alike monitors for measurements
            Commands on standard input; the command help lists them.
            """;

    private static final long STANDARD_SEED = 1;
    private static final Pattern DURATION = Pattern.compile("(\\d{1,6})(s|m)");

    /** Reads the arguments of the plant itself. */
    static Options parse(List<String> arguments) throws UsageException {
        Optional<Duration> runFor = Optional.empty();
        Plant.Scenes scenes = Plant.Scenes.PLAYED;
        boolean controlRoom = true;
        Map<String, Integer> ports = Ports.standard();
        long seed = STANDARD_SEED;
        Iterator<String> words = arguments.iterator();
        while (words.hasNext()) {
            String word = words.next();
            switch (word) {
                case "--for" -> runFor = Optional.of(duration(after(word, words)));
                case "--no-script" -> scenes = Plant.Scenes.NONE;
                case "--hold-script" -> scenes = Plant.Scenes.HELD;
                case "--no-control-room" -> controlRoom = false;
                case "--ports" -> ports = Ports.parse(after(word, words));
                case "--seed" -> seed = wholeNumber(word, after(word, words));
                default -> throw new UsageException("unknown option \"" + word + "\"");
            }
        }
        return new Options(runFor, scenes, controlRoom, ports, seed);
    }

    /** The value that follows an option. */
    static String after(String option, Iterator<String> words) throws UsageException {
        if (!words.hasNext()) {
            throw new UsageException(option + " needs a value");
        }
        return words.next();
    }

    /** Reads {@code 120s} or {@code 2m}. */
    static Duration duration(String text) throws UsageException {
        Matcher matcher = DURATION.matcher(text);
        if (!matcher.matches()) {
            throw new UsageException("a time is written like 120s or 2m, not \"" + text + "\"");
        }
        long count = Long.parseLong(matcher.group(1));
        return "m".equals(matcher.group(2)) ? Duration.ofMinutes(count) : Duration.ofSeconds(count);
    }

    static long wholeNumber(String option, String text) throws UsageException {
        try {
            return Long.parseLong(text);
        } catch (NumberFormatException notANumber) {
            throw new UsageException(option + " takes a whole number, not \"" + text + "\"");
        }
    }
}
