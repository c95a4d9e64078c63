package oilbird.gateway.command;

import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.time.LocalDate;
import java.time.ZoneOffset;
import java.util.List;

/** The commands that need no running gateway. */
public final class Main {
    /** The command was given wrongly. */
    static final int USAGE = 1;

    private Main() {}

    public static void main(String[] words) {
        PrintStream out = new PrintStream(System.out, false, StandardCharsets.UTF_8);
        int status = run(List.of(words), out);
        out.flush();
        System.exit(status);
    }

    static int run(List<String> words, PrintStream out) {
        if (words.size() == 2 && words.get(0).equals("check")) {
            return StationCheck.run(Path.of(words.get(1)), out);
        }
        if (!words.isEmpty() && words.get(0).equals("points")) {
            return PointsCommand.run(words.subList(1, words.size()), out, LocalDate.now(ZoneOffset.UTC));
        }
        if (words.size() == 3 && words.subList(0, 2).equals(List.of("record", "verify"))) {
            return RecordCommand.verify(Path.of(words.get(2)), out);
        }
        if (words.size() >= 3
                && words.size() <= 4
                && words.subList(0, 2).equals(List.of("record", "verify-fault-finding"))) {
            return RecordCommand.verifyFaultFinding(
                    Path.of(words.get(2)), words.size() == 4 ? Path.of(words.get(3)) : null, out);
        }
        if (words.size() == 4 && words.subList(0, 2).equals(List.of("record", "backup"))) {
            return RecordCommand.backup(Path.of(words.get(2)), Path.of(words.get(3)), out);
        }
        out.println("usage: check STATION | " + PointsCommand.USAGE
                + " | record verify DATA | record verify-fault-finding FILE [DATA] | record backup DATA FILE");
        return USAGE;
    }
}
