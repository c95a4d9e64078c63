package oilbird.gateway.webhook;

import io.vertx.core.Vertx;
import io.vertx.core.buffer.Buffer;
import io.vertx.core.http.HttpClient;
import io.vertx.core.http.HttpClientOptions;
import io.vertx.core.http.HttpClientRequest;
import io.vertx.core.http.HttpClientResponse;
import io.vertx.core.http.HttpMethod;
import io.vertx.core.http.HttpVersion;
import io.vertx.core.http.RequestOptions;
import io.vertx.core.net.PemTrustOptions;
import java.io.IOException;
import java.net.InetSocketAddress;
import java.net.Socket;
import java.net.URI;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.CompletionStage;
import java.util.concurrent.ExecutionException;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.TimeoutException;
import java.util.concurrent.atomic.LongAdder;
import java.util.function.LongSupplier;
import java.util.function.Supplier;
import oilbird.alarm.station.StationView;
import oilbird.gateway.contract.CloudEventForm;
import oilbird.gateway.contract.EventForm;
import oilbird.gateway.contract.Forms;
import oilbird.gateway.contract.MessageText;
import oilbird.gateway.contract.Written;
import oilbird.gateway.engine.clock.GatewayClock;
import oilbird.gateway.engine.outbox.Link;
import oilbird.gateway.engine.outbox.LinkRunner;
import oilbird.gateway.engine.outbox.UnsendableException;
import oilbird.gateway.engine.record.RecordedEvent;
import oilbird.gateway.station.WebhookLinkSettings;
import org.jspecify.annotations.Nullable;

/**
 * A link that posts each event to a web server as a CloudEvent (structured JSON), signed by {@link Signature}.
 *
 * <p>An answer of 2xx confirms. {@link Verdict} says what other answers mean; a redirection is not followed, since
 * nobody has said that the events may go there. The secret is read for every event, so that it can be changed while the
 * gateway runs, and is kept nowhere else.
 */
public final class WebhookLink implements Link {
    private static final int REQUESTS_AT_ONCE = 8;
    private static final int LONGEST_ANSWER_BYTES = 64 * 1024;
    private static final long LONGEST_RETRY_AFTER_SECONDS = 600;
    private static final Duration PATIENCE_WITH_ONE_EVENT = Duration.ofHours(1);
    private static final Duration LOOP_PATIENCE = Duration.ofSeconds(10);

    private final WebhookLinkSettings settings;
    private final Path secrets;
    private final CompletableFuture<Vertx> vertx;
    private final Forms forms;
    private final Supplier<StationView> view;
    private final GatewayClock clock;
    private final LongSupplier nanos;
    private final Stubborn stubborn;
    private final @Nullable MessageText message;
    private final LongAdder sent = new LongAdder();

    private @Nullable HttpClient client;
    private volatile @Nullable Long notBefore;

    /**
     * @param secrets folder {@code secrets} of the gateway's data folder.
     * @param vertx on whose event loop the requests run; opening waits for it.
     * @param view the station as last committed.
     */
    public WebhookLink(
            WebhookLinkSettings settings,
            Path secrets,
            CompletableFuture<Vertx> vertx,
            Forms forms,
            Supplier<StationView> view,
            GatewayClock clock) {
        this(settings, secrets, vertx, forms, view, clock, null);
    }

    /**
     * @param secrets folder {@code secrets} of the gateway's data folder.
     * @param vertx on whose event loop the requests run; opening waits for it.
     * @param view the station as last committed.
     * @param message the text that goes with alarm events; null for none.
     */
    public WebhookLink(
            WebhookLinkSettings settings,
            Path secrets,
            CompletableFuture<Vertx> vertx,
            Forms forms,
            Supplier<StationView> view,
            GatewayClock clock,
            @Nullable MessageText message) {
        this(settings, secrets, vertx, forms, view, clock, message, PATIENCE_WITH_ONE_EVENT, System::nanoTime);
    }

    /**
     * @param patience how long an event is tried, on which the other side fails while it takes others.
     * @param nanos the machine's own monotonic clock.
     */
    WebhookLink(
            WebhookLinkSettings settings,
            Path secrets,
            CompletableFuture<Vertx> vertx,
            Forms forms,
            Supplier<StationView> view,
            GatewayClock clock,
            @Nullable MessageText message,
            Duration patience,
            LongSupplier nanos) {
        this.message = message;
        this.settings = settings;
        this.secrets = secrets;
        this.vertx = vertx;
        this.forms = forms;
        this.view = view;
        this.clock = clock;
        this.nanos = nanos;
        this.stubborn = new Stubborn(patience);
    }

    /** How a runner is to carry events over this link. */
    public static LinkRunner.Settings running(WebhookLinkSettings settings) {
        LinkRunner.Settings usual = LinkRunner.Settings.DEFAULT;
        return new LinkRunner.Settings(
                REQUESTS_AT_ONCE,
                settings.deadline().plus(LOOP_PATIENCE),
                usual.firstRetry(),
                usual.lastRetry(),
                usual.check());
    }

    @Override
    public String id() {
        return settings.id();
    }

    @Override
    public long bytesSent() {
        return sent.sum();
    }

    @Override
    public void open() throws IOException {
        if (client != null) {
            return;
        }
        Long earliest = notBefore;
        long now = nanos.getAsLong();
        if (earliest != null && earliest - now > 0) {
            throw new IOException("the other side asked not to be asked for another "
                    + (TimeUnit.NANOSECONDS.toSeconds(earliest - now) + 1) + " s");
        }
        notBefore = null;
        signature();
        Path certificates = settings.trustedCertificates();
        if (certificates != null && !Files.isReadable(certificates)) {
            throw new IOException("the certificates in " + certificates + " cannot be read");
        }
        reach();
        client = loop().createHttpClient(options());
    }

    private Signature signature() throws IOException {
        return Signature.of(settings.secret().read(secrets));
    }

    /** Whether anybody listens there; saves every waiting event a request of its own. */
    private void reach() throws IOException {
        URI url = settings.url();
        String host = url.getHost().replaceAll("[\\[\\]]", "");
        try (Socket probe = new Socket()) {
            probe.connect(
                    new InetSocketAddress(host, port()),
                    Math.toIntExact(settings.deadline().toMillis()));
        } catch (IOException e) {
            throw new IOException("no connection to %s:%d: %s".formatted(host, port(), e.getMessage()), e);
        }
    }

    private int port() {
        return settings.url().getPort() >= 0 ? settings.url().getPort() : isTls() ? 443 : 80;
    }

    private boolean isTls() {
        return settings.url().getScheme().equals("https");
    }

    private Vertx loop() throws IOException {
        try {
            return vertx.get(LOOP_PATIENCE.toMillis(), TimeUnit.MILLISECONDS);
        } catch (TimeoutException | ExecutionException e) {
            throw new IOException("the gateway has not started whole yet", e);
        } catch (InterruptedException e) {
            Thread.currentThread().interrupt();
            throw new IOException("interrupted", e);
        }
    }

    private HttpClientOptions options() {
        HttpClientOptions options = new HttpClientOptions()
                .setProtocolVersion(HttpVersion.HTTP_1_1)
                .setConnectTimeout(Math.toIntExact(settings.deadline().toMillis()))
                .setMaxPoolSize(REQUESTS_AT_ONCE)
                .setKeepAliveTimeout(5)
                .setSsl(isTls())
                .setVerifyHost(true);
        Path certificates = settings.trustedCertificates();
        if (certificates != null) {
            options.setTrustOptions(new PemTrustOptions().addCertPath(certificates.toString()));
        }
        return options;
    }

    @Override
    public CompletionStage<Void> send(RecordedEvent event) throws IOException {
        HttpClient open = client;
        if (open == null) {
            throw new IOException("the link is not open");
        }
        EventForm plain = forms.event(event, view.get());
        EventForm form = message == null ? plain : message.onto(plain);
        byte[] body = Written.json(CloudEventForm.of(form, forms.station()));
        long timestamp = TimeUnit.MILLISECONDS.toSeconds(clock.now().wallMillis());
        RequestOptions request = new RequestOptions()
                .setMethod(HttpMethod.POST)
                .setAbsoluteURI(settings.url().toString())
                .setFollowRedirects(false)
                .putHeader("Content-Type", CloudEventForm.MEDIA_TYPE)
                .putHeader("webhook-id", form.eventId())
                .putHeader("webhook-timestamp", Long.toString(timestamp))
                .putHeader("webhook-signature", signature().of(form.eventId(), timestamp, body));
        sent.add(body.length);
        CompletableFuture<Void> outcome = new CompletableFuture<>();
        open.request(request)
                .onFailure(cause -> outcome.completeExceptionally(told(cause)))
                .onSuccess(asked -> post(asked, body, form.eventId(), outcome));
        return outcome.orTimeout(settings.deadline().toMillis(), TimeUnit.MILLISECONDS);
    }

    private void post(HttpClientRequest asked, byte[] body, String eventId, CompletableFuture<Void> outcome) {
        outcome.whenComplete((done, failure) -> {
            if (failure instanceof TimeoutException) {
                asked.reset();
            }
        });
        // A failure comes by the outcome of send; without a handler it would be logged as well.
        asked.exceptionHandler(ignored -> {});
        asked.send(Buffer.buffer(body))
                .onFailure(cause -> outcome.completeExceptionally(told(cause)))
                .onSuccess(answer -> {
                    discard(answer);
                    take(answer, eventId, outcome);
                });
    }

    /** The innermost cause says what is wrong with a certificate; the outer ones say that something is. */
    private static IOException told(Throwable failure) {
        Throwable innermost = failure;
        while (innermost.getCause() != null) {
            innermost = innermost.getCause();
        }
        return new IOException(String.valueOf(innermost.getMessage()), failure);
    }

    /** Nobody needs what the answer says beyond its status; one without end is cut off. */
    private static void discard(HttpClientResponse answer) {
        int[] bytes = {0};
        answer.handler(part -> {
            bytes[0] += part.length();
            if (bytes[0] > LONGEST_ANSWER_BYTES) {
                answer.request().reset();
            }
        });
    }

    private void take(HttpClientResponse answer, String eventId, CompletableFuture<Void> outcome) {
        int status = answer.statusCode();
        switch (Verdict.of(status)) {
            case TAKEN -> {
                stubborn.taken(eventId);
                outcome.complete(null);
            }
            case REFUSED -> outcome.completeExceptionally(new UnsendableException("answered " + status));
            case FAILED -> {
                if (stubborn.failed(eventId, nanos.getAsLong())) {
                    outcome.completeExceptionally(new UnsendableException(
                            "answered " + status + " again and again, while other events were taken"));
                } else {
                    outcome.completeExceptionally(new IOException("answered " + status));
                }
            }
            case LATER -> {
                waitAsAsked(answer.getHeader("Retry-After"));
                outcome.completeExceptionally(new IOException("answered " + status));
            }
        }
    }

    /** Seconds only (RFC 9110, 10.2.3): a date would need both clocks to be right. */
    private void waitAsAsked(@Nullable String seconds) {
        if (seconds != null && seconds.matches("[0-9]{1,9}")) {
            long wait = Math.min(Long.parseLong(seconds), LONGEST_RETRY_AFTER_SECONDS);
            notBefore = nanos.getAsLong() + TimeUnit.SECONDS.toNanos(wait);
        }
    }

    @Override
    public void close() {
        HttpClient open = client;
        client = null;
        if (open != null) {
            open.close();
        }
    }
}
