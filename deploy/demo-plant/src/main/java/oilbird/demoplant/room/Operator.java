package oilbird.demoplant.room;

import java.io.IOException;
import java.net.URI;
import java.net.http.HttpClient;
import java.net.http.HttpRequest;
import java.net.http.HttpResponse;
import java.time.Duration;
import java.util.Optional;
import java.util.function.Consumer;

/** An operator at the gateway's REST door on this machine. */
public final class Operator {
    private static final Duration PATIENCE = Duration.ofSeconds(10);

    private final int port;
    private final Optional<String> token;
    private final Consumer<String> out;
    private final HttpClient client =
            HttpClient.newBuilder().connectTimeout(PATIENCE).build();

    /**
     * @param port port of the gateway's page; 0 when there is none to ask
     * @param token what the gateway knows the control room by; empty for none
     * @param out takes what came of each request, in plain words
     */
    public Operator(int port, Optional<String> token, Consumer<String> out) {
        this.port = port;
        this.token = token;
        this.out = out;
    }

    /** Asks, and tells what came of it. @param who who asks, in plain words */
    public void post(String path, String body, String who) {
        if (port == 0) {
            out.accept("[plant] no gateway was named, so " + who + " cannot ask for " + path);
            return;
        }
        HttpRequest.Builder request = HttpRequest.newBuilder(URI.create("http://127.0.0.1:" + port + path))
                .timeout(PATIENCE)
                .header("Content-Type", "application/json")
                .POST(HttpRequest.BodyPublishers.ofString(body));
        token.ifPresent(known -> request.header("Authorization", "Bearer " + known));
        try {
            HttpResponse<String> answer = client.send(request.build(), HttpResponse.BodyHandlers.ofString());
            if (answer.statusCode() >= 300) {
                out.accept("[plant] NOT AS EXPECTED: the gateway refused " + who + ": " + answer.statusCode() + " "
                        + answer.body());
            }
        } catch (IOException failure) {
            out.accept("[plant] NOT AS EXPECTED: " + who + " could not reach the gateway: " + failure);
        } catch (InterruptedException interrupted) {
            Thread.currentThread().interrupt();
        }
    }
}
