package oilbird.gateway.command.inspect;

import java.io.BufferedReader;
import java.io.IOException;
import java.io.PrintStream;
import java.io.UncheckedIOException;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import oilbird.gateway.command.inspect.LiveView.Line;
import oilbird.mapping.map.Verification;

/** Goes through all that is not verified yet, with somebody in front of the device's local display. */
public final class Comparison {
    private final LiveView live;
    private final MapFile map;
    private final Verification mark;
    private final BufferedReader in;
    private final PrintStream out;

    public Comparison(LiveView live, MapFile map, Verification mark, BufferedReader in, PrintStream out) {
        this.live = live;
        this.map = map;
        this.mark = mark;
        this.in = in;
        this.out = out;
    }

    /** Asks for each; returns the exit status. */
    public int run() {
        List<Line> open =
                live.comparable().stream().filter(line -> !line.verified()).toList();
        out.println(
                open.size() + " are not verified. y: the local display says the same; n: it does not; r: read again;"
                        + " s: skip; q: quit.");
        int marked = 0;
        for (Line line : open) {
            Answer answer = ask(line);
            if (answer == Answer.QUIT) {
                break;
            }
            if (answer == Answer.SAME) {
                if (!map.mark(List.of(line.name()), mark, out)) {
                    return ExitStatus.DID_NOT_WORK;
                }
                marked++;
            }
        }
        out.println(marked + " marked, " + (open.size() - marked) + " left.");
        return ExitStatus.DONE;
    }

    private enum Answer {
        SAME,
        OTHER,
        QUIT
    }

    private Answer ask(Line asked) {
        Line line = asked;
        while (true) {
            if (!line.usable()) {
                out.println(line.name() + ": " + line.text() + ": nothing to compare now, skipped");
                return Answer.OTHER;
            }
            out.println(line.name() + ": " + line.text() + ". Does the local display say the same? [y/n/r/s/q]");
            String answer = answer();
            switch (answer) {
                case "y", "yes" -> {
                    return Answer.SAME;
                }
                case "n", "no" -> {
                    out.println("left unverified; inspect --read shows its raw words");
                    return Answer.OTHER;
                }
                case "s" -> {
                    return Answer.OTHER;
                }
                case "q" -> {
                    return Answer.QUIT;
                }
                default -> {
                    String name = line.name();
                    Optional<Line> again = live.comparable().stream()
                            .filter(l -> l.name().equals(name))
                            .findFirst();
                    if (again.isEmpty()) {
                        out.println(name + " cannot be read now, skipped");
                        return Answer.OTHER;
                    }
                    line = again.get();
                }
            }
        }
    }

    /** The end of the input means to quit. */
    private String answer() {
        try {
            String line = in.readLine();
            return line == null ? "q" : line.strip().toLowerCase(Locale.ROOT);
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
    }
}
