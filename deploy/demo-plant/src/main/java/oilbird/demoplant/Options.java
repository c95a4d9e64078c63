package oilbird.demoplant;

import java.time.Duration;
import java.time.Instant;
import java.time.format.DateTimeParseException;
import java.util.Iterator;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import oilbird.demoplant.plant.Plant;

/**
 * What the command line asks for.
 *
 * @param runFor how long to run on the machine's clock; empty until told to quit
 * @param day whether and when the scripted day is played
 * @param controlRoom whether the broker and the reader of alarms run
 * @param ports port of each device and door by name, 0 for any free one
 * @param seed seed of all noise
 * @param rate plant seconds in one second of the machine
 * @param origin machine time of plant time 0; empty for now
 * @param shows wall time of plant time 0, six in the morning
 * @param page port of the gateway's page, where the operator acts; 0 for none
 * @param files folder for the certificates of the OPC UA servers; empty for none
 */
record Options(
        Optional<Duration> runFor,
        PlayedDay day,
        boolean controlRoom,
        Map<String, Integer> ports,
        long seed,
        double rate,
        Optional<Instant> origin,
        Instant shows,
        int page,
        Optional<String> files) {
    static final String USAGE = """
            demo plant: nine invented monitors on Modbus TCP and OPC UA, and a stand-in for the control room; all on 127.0.0.1

              [--for 120s]           end after this time (s or m); else on the command quit
              [--no-day]             no scripted day: everything healthy until a command says otherwise
              [--hold-day]           the day waits for the command day
              [--no-control-room]    no MQTT broker and no reader of alarms
              [--ports 0 | NAME=N,...]   gas-t1, cooling-t1, gas-t2, cooling-t2, gateway-t3, moisture-t1, bushing-t2, mqtt,
                                     http; 0: any free one
              [--seed N]             other noise, same scenes
              [--rate 240]           so many times as fast as the machine's clock; a gateway must have the same rate
              [--origin INSTANT]     the machine's time at plant time 0, such as 2026-10-05T12:00:00Z; else now
              [--shows INSTANT]      the time that plant time 0 is for plant and gateway, six in the morning
              [--page 8088]          port of the gateway's page, where the operator of the day acts, with
                                     the token in the variable OILBIRD_TOKEN
              [--files DIR]          folder where the certificates of the OPC UA servers are written
              fleet --devices N --port P [--for 60s] [--flips-per-second N]
                                     many alike monitors for measurements
            Commands on standard input; the command help lists them.
            """;

    private static final long STANDARD_SEED = 1;
    private static final double STANDARD_RATE = 240;
    private static final Pattern DURATION = Pattern.compile("(\\d{1,6})(s|m)");

    /** Whether and when the scripted day is played. */
    enum PlayedDay {
        /** From the start. */
        AT_ONCE,
        /** On the command {@code day}. */
        HELD,
        /** Not at all. */
        NONE
    }

    /** Reads the arguments of the plant itself. */
    static Options parse(List<String> arguments) throws UsageException {
        Optional<Duration> runFor = Optional.empty();
        PlayedDay day = PlayedDay.AT_ONCE;
        boolean controlRoom = true;
        Map<String, Integer> ports = Ports.standard();
        long seed = STANDARD_SEED;
        double rate = STANDARD_RATE;
        Optional<Instant> origin = Optional.empty();
        Instant shows = Plant.INVENTED_MORNING;
        int page = 0;
        Optional<String> files = Optional.empty();
        Iterator<String> words = arguments.iterator();
        while (words.hasNext()) {
            String word = words.next();
            switch (word) {
                case "--for" -> runFor = Optional.of(duration(after(word, words)));
                case "--no-day" -> day = PlayedDay.NONE;
                case "--hold-day" -> day = PlayedDay.HELD;
                case "--no-control-room" -> controlRoom = false;
                case "--ports" -> ports = Ports.parse(after(word, words));
                case "--seed" -> seed = wholeNumber(word, after(word, words));
                case "--rate" -> rate = rate(after(word, words));
                case "--origin" -> origin = Optional.of(instant(word, after(word, words)));
                case "--shows" -> shows = instant(word, after(word, words));
                case "--page" -> page = Ports.port(after(word, words));
                case "--files" -> files = Optional.of(after(word, words));
                default -> throw new UsageException("unknown option \"" + word + "\"");
            }
        }
        return new Options(runFor, day, controlRoom, ports, seed, rate, origin, shows, page, files);
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

    private static double rate(String text) throws UsageException {
        try {
            double rate = Double.parseDouble(text);
            if (rate > 0 && rate <= 10_000) {
                return rate;
            }
        } catch (NumberFormatException notANumber) {
            // told below, together with numbers that are no rate
        }
        throw new UsageException("--rate takes a number above 0 and at most 10000, not \"" + text + "\"");
    }

    private static Instant instant(String option, String text) throws UsageException {
        try {
            return Instant.parse(text);
        } catch (DateTimeParseException notAnInstant) {
            throw new UsageException(option + " takes an instant such as 2026-10-05T06:00:00Z, not \"" + text + "\"");
        }
    }
}
