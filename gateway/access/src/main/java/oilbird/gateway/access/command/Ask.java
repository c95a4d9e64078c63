package oilbird.gateway.access.command;

import java.io.BufferedReader;
import java.io.Console;
import java.io.IOException;
import java.io.InputStreamReader;
import java.io.PrintStream;
import java.net.ConnectException;
import java.net.Socket;
import java.net.URI;
import java.net.http.HttpClient;
import java.net.http.HttpRequest;
import java.net.http.HttpResponse;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.security.GeneralSecurityException;
import java.security.cert.CertificateException;
import java.security.cert.X509Certificate;
import java.time.Duration;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import javax.net.ssl.SSLContext;
import javax.net.ssl.SSLEngine;
import javax.net.ssl.TrustManager;
import javax.net.ssl.X509ExtendedTrustManager;
import oilbird.gateway.access.ServerCertificate;
import oilbird.mapping.text.YamlText;
import org.jspecify.annotations.Nullable;

/**
 * Asks the running gateway of this machine for something, on behalf of the launcher:
 * {@code PORT PATH MEDIA-TYPE FILE [--data DIR | --plain-http] [--as NAME | --token FILE]}.
 *
 * <p>The gateway is known by the certificate in its data folder, and no other is talked to. Who asks is a user, whose
 * password is asked for at the terminal or read from standard input, or a token: in a file, or in the variable {@code
 * OILBIRD_TOKEN}.
 */
public final class Ask {
    private static final int DONE = 0;
    private static final int FAILED = 1;
    private static final int REFUSED = 2;
    private static final Duration PATIENCE = Duration.ofSeconds(30);

    private final PrintStream out;
    private final String base;
    private final HttpClient client;

    private Ask(PrintStream out, String base, HttpClient client) {
        this.out = out;
        this.base = base;
        this.client = client;
    }

    public static void main(String[] words) {
        PrintStream out = new PrintStream(System.out, false, StandardCharsets.UTF_8);
        int status;
        try {
            status = run(List.of(words), out);
        } catch (ConnectException e) {
            out.println("no gateway answers on port " + words[0] + " of this machine; is it running?");
            status = FAILED;
        } catch (IOException e) {
            out.println("the gateway could not be asked: " + e.getMessage());
            status = FAILED;
        } catch (InterruptedException e) {
            Thread.currentThread().interrupt();
            status = FAILED;
        }
        out.flush();
        System.exit(status);
    }

    private static int run(List<String> words, PrintStream out) throws IOException, InterruptedException {
        Map<String, String> options = new HashMap<>();
        for (int i = 4; i < words.size(); i++) {
            boolean flag = words.get(i).equals("--plain-http");
            options.put(words.get(i), flag ? "" : words.get(++i));
        }
        boolean plain = options.containsKey("--plain-http");
        String data = options.get("--data");
        if (!plain && data == null) {
            out.println("say which data folder the gateway has, --data DIR, so that it is known by its certificate; or"
                    + " --plain-http, if it was started so");
            return REFUSED;
        }
        HttpClient.Builder client = HttpClient.newBuilder().connectTimeout(PATIENCE);
        if (!plain) {
            client.sslContext(trusting(new ServerCertificate(Path.of(String.valueOf(data))).certificate()));
        }
        String base = (plain ? "http" : "https") + "://127.0.0.1:" + words.get(0);
        Ask ask = new Ask(out, base, client.build());
        HttpRequest.Builder request = HttpRequest.newBuilder(URI.create(base + words.get(1)))
                .header("Content-Type", words.get(2))
                .POST(HttpRequest.BodyPublishers.ofFile(Path.of(words.get(3))));
        String user = options.get("--as");
        return user == null ? ask.withToken(request, options.get("--token")) : ask.as(user, request);
    }

    private int withToken(HttpRequest.Builder request, @Nullable String file) throws IOException, InterruptedException {
        String token = file == null ? System.getenv("OILBIRD_TOKEN") : Files.readString(Path.of(file));
        if (token == null || token.isBlank()) {
            out.println("say who asks: --as NAME for a user, --token FILE or the variable OILBIRD_TOKEN for a program");
            return REFUSED;
        }
        return told(send(request.header("Authorization", "Bearer " + token.strip())));
    }

    private int as(String user, HttpRequest.Builder request) throws IOException, InterruptedException {
        String password = password(user);
        String form = "{\"name\":" + quoted(user) + ",\"password\":" + quoted(password) + "}";
        HttpResponse<String> signedIn = send(HttpRequest.newBuilder(URI.create(base + "/api/v1/session"))
                .header("Content-Type", "application/json")
                .POST(HttpRequest.BodyPublishers.ofString(form)));
        String cookie = signedIn.headers().firstValue("Set-Cookie").orElse("").replaceAll(";.*", "");
        if (signedIn.statusCode() != 200 || cookie.isEmpty()) {
            return told(signedIn);
        }
        try {
            return told(send(request.header("Cookie", cookie).header("Origin", base)));
        } finally {
            send(HttpRequest.newBuilder(URI.create(base + "/api/v1/session"))
                    .header("Cookie", cookie)
                    .header("Origin", base)
                    .DELETE());
        }
    }

    /** As a JSON string: always in quotes, which our YAML leaves away where it can. */
    private static String quoted(String text) {
        String yaml = YamlText.of(text);
        return yaml.startsWith("\"") ? yaml : "\"" + yaml + "\"";
    }

    private static String password(String user) throws IOException {
        Console console = System.console();
        if (console != null) {
            char[] typed = console.readPassword("Password of %s: ", user);
            return typed == null ? "" : new String(typed);
        }
        String line = new BufferedReader(new InputStreamReader(System.in, StandardCharsets.UTF_8)).readLine();
        return line == null ? "" : line;
    }

    private HttpResponse<String> send(HttpRequest.Builder request) throws IOException, InterruptedException {
        return client.send(request.timeout(PATIENCE).build(), HttpResponse.BodyHandlers.ofString());
    }

    private int told(HttpResponse<String> answer) {
        if (!answer.body().isEmpty()) {
            out.println(answer.body().replace("\\n", "\n  "));
        }
        if (answer.statusCode() / 100 == 2) {
            return DONE;
        }
        if (answer.body().isEmpty()) {
            out.println("the gateway answered " + answer.statusCode());
        }
        return REFUSED;
    }

    /** Just this certificate, whatever name it is for: the data folder says that it is the gateway's. */
    private static SSLContext trusting(X509Certificate certificate) {
        try {
            SSLContext context = SSLContext.getInstance("TLS");
            context.init(null, new TrustManager[] {new Pinned(certificate)}, null);
            return context;
        } catch (GeneralSecurityException e) {
            throw new IllegalStateException("every Java has TLS", e);
        }
    }

    private static final class Pinned extends X509ExtendedTrustManager {
        private final X509Certificate expected;

        Pinned(X509Certificate expected) {
            this.expected = expected;
        }

        private void check(X509Certificate[] chain) throws CertificateException {
            if (chain.length == 0 || !chain[0].equals(expected)) {
                throw new CertificateException("what answers there is not the gateway with this data folder");
            }
        }

        @Override
        public void checkServerTrusted(X509Certificate[] chain, String type) throws CertificateException {
            check(chain);
        }

        @Override
        public void checkServerTrusted(X509Certificate[] chain, String type, Socket socket)
                throws CertificateException {
            check(chain);
        }

        @Override
        public void checkServerTrusted(X509Certificate[] chain, String type, SSLEngine engine)
                throws CertificateException {
            check(chain);
        }

        @Override
        public void checkClientTrusted(X509Certificate[] chain, String type) throws CertificateException {
            throw new CertificateException("nobody is a client here");
        }

        @Override
        public void checkClientTrusted(X509Certificate[] chain, String type, Socket socket)
                throws CertificateException {
            throw new CertificateException("nobody is a client here");
        }

        @Override
        public void checkClientTrusted(X509Certificate[] chain, String type, SSLEngine engine)
                throws CertificateException {
            throw new CertificateException("nobody is a client here");
        }

        @Override
        public X509Certificate[] getAcceptedIssuers() {
            return new X509Certificate[0];
        }
    }
}
