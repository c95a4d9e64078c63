package oilbird.gateway.modbus.inspect;

import java.io.BufferedReader;
import java.io.InputStreamReader;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.util.List;

/** The command {@code inspect}. */
public final class Main {
    static final int DONE = 0;
    /** The device does not answer, or a file cannot be written. */
    static final int DID_NOT_WORK = 1;
    /** The command was given wrongly, or a file has mistakes. */
    static final int REFUSED = 2;
    /** Asked for what comes later. */
    static final int COMES_LATER = 3;

    private Main() {}

    public static void main(String[] words) {
        PrintStream out = new PrintStream(System.out, true, StandardCharsets.UTF_8);
        BufferedReader in = new BufferedReader(new InputStreamReader(System.in, StandardCharsets.UTF_8));
        int status = run(List.of(words), in, out);
        out.flush();
        System.exit(status);
    }

    /**
     * @param in answers to questions.
     * @return the exit status.
     */
    static int run(List<String> words, BufferedReader in, PrintStream out) {
        Order order;
        try {
            order = Order.of(words);
        } catch (Order.WrongOrderException wrong) {
            out.println(wrong.getMessage());
            out.println(Order.USAGE);
            return REFUSED;
        }
        return order.run(in, out);
    }
}
