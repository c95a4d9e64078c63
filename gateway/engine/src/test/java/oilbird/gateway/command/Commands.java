package oilbird.gateway.command;

import java.io.PrintStream;
import java.util.List;

/** The commands for tests of other packages. */
public final class Commands {
    private Commands() {}

    /** Returns the exit status. */
    public static int run(List<String> words, PrintStream out) {
        return Main.run(words, out);
    }
}
