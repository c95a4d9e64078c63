package oilbird.demoplant.wire;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatExceptionOfType;

import io.netty.channel.nio.NioEventLoopGroup;
import io.netty.util.concurrent.DefaultThreadFactory;
import java.net.ConnectException;
import java.net.SocketTimeoutException;
import java.util.List;
import java.util.SplittableRandom;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import oilbird.demoplant.RawClient;
import oilbird.demoplant.course.Answering;
import oilbird.demoplant.device.SpecificationMonitor;
import oilbird.demoplant.wire.Behaviour.Kind;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

class BehaviourTest {
    private static final String REQUEST_1 = "00 01 00 00 00 06 FF 04 00 08 00 01";
    private static final String REQUEST_2 = "00 02 00 00 00 06 FF 04 00 08 00 01";
    private static final String ANSWER_1 = "00 01 00 00 00 05 FF 04 02 00 0A";
    private static final String ANSWER_2 = "00 02 00 00 00 05 FF 04 02 00 0A";

    private final NioEventLoopGroup eventLoop = new NioEventLoopGroup(1, new DefaultThreadFactory("test", true));
    private final ExecutorService workers = Executors.newSingleThreadExecutor(new DefaultThreadFactory("test", true));
    private final ServedMonitor served =
            new ServedMonitor(new SpecificationMonitor(), () -> 0, at -> Answering.ANSWERS);
    private DeviceServer server;

    @BeforeEach
    void start() throws PortTaken {
        server = DeviceServer.start("specification", List.of(served), 0, eventLoop, workers, new SplittableRandom(1));
    }

    @AfterEach
    void stop() {
        server.close();
        workers.shutdown();
        eventLoop.shutdownGracefully();
    }

    @Test
    void aSilentDeviceTakesTheRequestAndNeverAnswers() throws Exception {
        behave(Kind.SILENT, 0);
        try (RawClient client = new RawClient(server.port()).patience(300)) {
            client.send(REQUEST_1);
            assertThatExceptionOfType(SocketTimeoutException.class).isThrownBy(client::read);
            behave(Kind.NORMAL, 0);
            assertThat(client.patience(5_000).ask(REQUEST_2)).isEqualTo(ANSWER_2);
        }
    }

    @Test
    void aRefusingDeviceHangsUpAndTakesNoConnectionUntilItIsNormalAgainOnTheSamePort() throws Exception {
        int port = server.port();
        try (RawClient client = new RawClient(port)) {
            assertThat(client.ask(REQUEST_1)).isEqualTo(ANSWER_1);
            behave(Kind.REFUSE, 0);
            assertThat(client.read()).isEqualTo("closed");
        }
        assertThatExceptionOfType(ConnectException.class).isThrownBy(() -> new RawClient(port));
        behave(Kind.NORMAL, 0);
        assertThat(server.port()).isEqualTo(port);
        try (RawClient client = new RawClient(port)) {
            assertThat(client.ask(REQUEST_1)).isEqualTo(ANSWER_1);
        }
    }

    /** MAP V1.1b3, 7: function code with its highest bit set, then the exception code; 04 is device failure. */
    @Test
    void aDeviceCanAnswerEveryRequestWithOneException() throws Exception {
        behave(Kind.EXCEPTION, 4);
        try (RawClient client = new RawClient(server.port())) {
            assertThat(client.ask(REQUEST_1)).isEqualTo("00 01 00 00 00 03 FF 84 04");
        }
    }

    @Test
    void aSlowDeviceAnswersRightlyButLateOneAfterTheOther() throws Exception {
        behave(Kind.SLOW, 200);
        try (RawClient client = new RawClient(server.port())) {
            long before = System.nanoTime();
            client.send(REQUEST_1);
            client.send(REQUEST_2);
            assertThat(client.read()).isEqualTo(ANSWER_1);
            assertThat(System.nanoTime() - before).isGreaterThanOrEqualTo(200_000_000L);
            assertThat(client.read()).isEqualTo(ANSWER_2);
            assertThat(System.nanoTime() - before).isGreaterThanOrEqualTo(400_000_000L);
        }
    }

    @Test
    void aDeviceCanAnswerWithBytesThatMeanNothing() throws Exception {
        behave(Kind.GARBAGE, 0);
        try (RawClient client = new RawClient(server.port())) {
            client.send(REQUEST_1);
            assertThat(client.readBytes(11)).hasSameSizeAs(ANSWER_1).isNotEqualTo(ANSWER_1);
        }
    }

    @Test
    void aLateDeviceIsAlwaysOneAnswerBehind() throws Exception {
        behave(Kind.LATE, 0);
        try (RawClient client = new RawClient(server.port()).patience(300)) {
            client.send(REQUEST_1);
            assertThatExceptionOfType(SocketTimeoutException.class).isThrownBy(client::read);
            assertThat(client.patience(5_000).ask(REQUEST_2)).isEqualTo(ANSWER_1);
        }
    }

    @Test
    void aDeviceCanAnswerForAnotherTransaction() throws Exception {
        behave(Kind.WRONG_TRANSACTION, 0);
        try (RawClient client = new RawClient(server.port())) {
            assertThat(client.ask(REQUEST_1)).isEqualTo(ANSWER_2);
        }
    }

    @Test
    void anotherUnitIdGetsNoAnswer() throws Exception {
        try (RawClient client = new RawClient(server.port()).patience(300)) {
            client.send("00 01 00 00 00 06 0B 04 00 08 00 01");
            assertThatExceptionOfType(SocketTimeoutException.class).isThrownBy(client::read);
            client.send("00 01 00 00 00 05 0B 2B 0E 01 00");
            assertThatExceptionOfType(SocketTimeoutException.class).isThrownBy(client::read);
        }
    }

    @Test
    void aTakenPortIsToldWithItsNumberAndWhatToDo() {
        assertThatExceptionOfType(PortTaken.class)
                .isThrownBy(() -> DeviceServer.start(
                        "specification", List.of(served), server.port(), eventLoop, workers, new SplittableRandom(1)))
                .withMessageContaining("port " + server.port())
                .withMessageContaining("--ports specification=");
    }

    private void behave(Kind kind, int number) throws PortTaken {
        server.behave(served, new Behaviour(kind, number));
    }
}
