package oilbird.gateway.webhook;

import com.sun.net.httpserver.HttpExchange;
import com.sun.net.httpserver.HttpServer;
import com.sun.net.httpserver.HttpsConfigurator;
import com.sun.net.httpserver.HttpsServer;
import io.cloudevents.CloudEvent;
import io.cloudevents.core.format.EventFormat;
import io.cloudevents.core.provider.EventFormatProvider;
import io.cloudevents.jackson.JsonFormat;
import java.io.IOException;
import java.net.InetSocketAddress;
import java.util.ArrayList;
import java.util.List;
import java.util.Objects;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import javax.net.ssl.SSLContext;
import org.jspecify.annotations.Nullable;

/** A web server that takes events, or behaves as a test tells it; it reads them with the CloudEvents SDK. */
final class Desk implements AutoCloseable {
    /**
     * @param status what was answered; 0 when the connection was cut instead.
     */
    record Arrival(CloudEvent event, byte[] body, String id, long timestamp, String signature, int status) {}

    /** What the server does with one request. */
    @FunctionalInterface
    interface Manner {
        /**
         * @return status to answer with; 0 to cut the connection before an answer, -1 to cut it after the event
         *     was taken.
         */
        int answer(CloudEvent event) throws InterruptedException;
    }

    private static final EventFormat FORMAT =
            Objects.requireNonNull(EventFormatProvider.getInstance().resolveFormat(JsonFormat.CONTENT_TYPE));

    private final int port;
    private final @Nullable SSLContext tls;
    private final List<Arrival> arrivals = new ArrayList<>();
    private @Nullable HttpServer server;
    private @Nullable ExecutorService threads;
    private volatile Manner manner = event -> 204;
    private volatile @Nullable String retryAfter;

    Desk(@Nullable SSLContext tls) throws IOException {
        this.tls = tls;
        HttpServer first = bind(0);
        this.port = first.getAddress().getPort();
        serve(first);
    }

    private HttpServer bind(int wanted) throws IOException {
        InetSocketAddress address = new InetSocketAddress("127.0.0.1", wanted);
        if (tls == null) {
            return HttpServer.create(address, 0);
        }
        HttpsServer https = HttpsServer.create(address, 0);
        https.setHttpsConfigurator(new HttpsConfigurator(tls));
        return https;
    }

    private void serve(HttpServer bound) {
        ExecutorService pool = Executors.newCachedThreadPool();
        bound.createContext("/oilbird", this::take);
        bound.setExecutor(pool);
        bound.start();
        server = bound;
        threads = pool;
    }

    private void take(HttpExchange exchange) throws IOException {
        byte[] body = exchange.getRequestBody().readAllBytes();
        assertText("application/cloudevents+json; charset=UTF-8", exchange, "Content-Type");
        CloudEvent event = FORMAT.deserialize(body);
        int status;
        try {
            status = manner.answer(event);
        } catch (InterruptedException e) {
            Thread.currentThread().interrupt();
            status = 0;
        }
        // Noted before the answer: an event that a test sees confirmed has arrived.
        synchronized (arrivals) {
            arrivals.add(new Arrival(
                    event,
                    body,
                    header(exchange, "webhook-id"),
                    Long.parseLong(header(exchange, "webhook-timestamp")),
                    header(exchange, "webhook-signature"),
                    status));
        }
        String wait = retryAfter;
        if (wait != null) {
            exchange.getResponseHeaders().set("Retry-After", wait);
        }
        if (status > 0) {
            exchange.sendResponseHeaders(status, -1);
        }
        exchange.close();
    }

    private static void assertText(String expected, HttpExchange exchange, String name) {
        if (!expected.equals(header(exchange, name))) {
            throw new IllegalStateException(name + ": " + header(exchange, name));
        }
    }

    private static String header(HttpExchange exchange, String name) {
        return String.valueOf(exchange.getRequestHeaders().getFirst(name));
    }

    int port() {
        return port;
    }

    void behave(Manner with) {
        manner = with;
    }

    void asksToWait(@Nullable String seconds) {
        retryAfter = seconds;
    }

    List<Arrival> arrivals() {
        synchronized (arrivals) {
            return List.copyOf(arrivals);
        }
    }

    /** Those that the server has really taken, repetitions among them. */
    List<Arrival> taken() {
        return arrivals().stream()
                .filter(a -> a.status() == -1 || (a.status() >= 200 && a.status() < 300))
                .toList();
    }

    void stop() {
        if (server != null) {
            server.stop(0);
            Objects.requireNonNull(threads).shutdownNow();
            server = null;
        }
    }

    void startAgain() throws IOException {
        serve(bind(port));
    }

    @Override
    public void close() {
        stop();
    }
}
