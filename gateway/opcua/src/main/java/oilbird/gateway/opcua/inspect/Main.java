package oilbird.gateway.opcua.inspect;

import java.io.BufferedReader;
import java.io.InputStreamReader;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.util.List;
import oilbird.gateway.command.inspect.ExitStatus;
import oilbird.gateway.command.inspect.WrongOrderException;

/** The command {@code inspect} for an address that begins with {@code opc.tcp://}. */
public final class Main {
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
        } catch (WrongOrderException wrong) {
            out.println(wrong.getMessage());
            out.println(Order.USAGE);
            return ExitStatus.REFUSED;
        }
        try {
            return order.run(in, out);
        } catch (InterruptedException e) {
            Thread.currentThread().interrupt();
            return ExitStatus.DID_NOT_WORK;
        }
    }
}
