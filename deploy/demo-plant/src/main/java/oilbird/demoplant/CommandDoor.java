package oilbird.demoplant;

import com.sun.net.httpserver.HttpExchange;
import com.sun.net.httpserver.HttpServer;
import io.netty.util.concurrent.DefaultThreadFactory;
import java.io.IOException;
import java.net.InetAddress;
import java.net.InetSocketAddress;
import java.nio.charset.StandardCharsets;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import java.util.regex.Pattern;
import oilbird.demoplant.wire.PortTaken;

/**
 * The commands by HTTP, on loopback: {@code POST /command} with one command as plain text, {@code GET /state},
 * {@code GET /help}.
 */
final class CommandDoor implements AutoCloseable {
    private static final int LONGEST_BODY = 2_000;
    private static final int OK = 200;
    private static final int BAD_COMMAND = 400;
    private static final int FORBIDDEN = 403;
    private static final int NOT_FOUND = 404;
    private static final int WRONG_METHOD = 405;
    private static final Pattern LOOPBACK_HOST = Pattern.compile("(127\\.0\\.0\\.1|localhost|\\[::1])(:\\d+)?");

    private final HttpServer server;
    private final Commands commands;
    private final ExecutorService worker =
            Executors.newSingleThreadExecutor(new DefaultThreadFactory("plant-http", true));

    private final Runnable quit;

    private CommandDoor(HttpServer server, Commands commands, Runnable quit) {
        this.server = server;
        this.commands = commands;
        this.quit = quit;
    }

    /**
     * @param port 0 for any free one
     * @param quit ends the plant
     */
    static CommandDoor open(int port, Commands commands, Runnable quit) throws PortTaken {
        HttpServer server;
        try {
            server = HttpServer.create(new InetSocketAddress(InetAddress.getLoopbackAddress(), port), 0);
        } catch (IOException failure) {
            throw new PortTaken("http", port, failure);
        }
        CommandDoor door = new CommandDoor(server, commands, quit);
        server.setExecutor(door.worker);
        server.createContext("/", door::handle);
        server.start();
        return door;
    }

    int port() {
        return server.getAddress().getPort();
    }

    @Override
    public void close() {
        server.stop(0);
        worker.shutdown();
    }

    private void handle(HttpExchange exchange) throws IOException {
        try (exchange) {
            String host = exchange.getRequestHeaders().getFirst("Host");
            // A page of another site, open in the same machine's browser, must not be able to give commands.
            if (host == null
                    || !LOOPBACK_HOST.matcher(host).matches()
                    || exchange.getRequestHeaders().containsKey("Origin")) {
                send(exchange, FORBIDDEN, "only for programs on this machine");
                return;
            }
            String path = exchange.getRequestURI().getPath();
            String method = exchange.getRequestMethod();
            switch (path) {
                case "/command" -> {
                    if (!method.equals("POST")) {
                        send(exchange, WRONG_METHOD, "POST one command as plain text");
                        return;
                    }
                    byte[] body = exchange.getRequestBody().readNBytes(LONGEST_BODY);
                    answer(exchange, new String(body, StandardCharsets.UTF_8));
                }
                case "/state", "/help" -> {
                    if (!method.equals("GET")) {
                        send(exchange, WRONG_METHOD, "GET it");
                        return;
                    }
                    answer(exchange, path.substring(1));
                }
                default -> send(exchange, NOT_FOUND, "there are POST /command, GET /state and GET /help");
            }
        }
    }

    private void answer(HttpExchange exchange, String command) throws IOException {
        Commands.Answer answer = commands.obey(command);
        send(exchange, answer.done() ? OK : BAD_COMMAND, answer.text());
        if (answer.last()) {
            quit.run();
        }
    }

    private static void send(HttpExchange exchange, int status, String text) throws IOException {
        byte[] body = (text + "\n").getBytes(StandardCharsets.UTF_8);
        exchange.getResponseHeaders().set("Content-Type", "text/plain; charset=utf-8");
        exchange.sendResponseHeaders(status, body.length);
        exchange.getResponseBody().write(body);
    }
}
