package oilbird.demoplant.wire;

import static org.assertj.core.api.Assertions.assertThat;

import io.netty.channel.nio.NioEventLoopGroup;
import io.netty.util.concurrent.DefaultThreadFactory;
import java.util.List;
import java.util.SplittableRandom;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import oilbird.demoplant.RawClient;
import oilbird.demoplant.course.Answering;
import oilbird.demoplant.device.SpecificationMonitor;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.TestInstance;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvFileSource;

/** The specification's own frames, byte for byte over a real socket; see the head of modbus_frames.csv. */
@TestInstance(TestInstance.Lifecycle.PER_CLASS)
class SpecificationFramesTest {
    private final NioEventLoopGroup eventLoop = new NioEventLoopGroup(1, new DefaultThreadFactory("test", true));
    private final ExecutorService workers = Executors.newSingleThreadExecutor(new DefaultThreadFactory("test", true));
    private int port;

    @BeforeAll
    void start() throws PortTaken {
        port = DeviceServer.start(
                        "specification",
                        List.of(new ServedMonitor(new SpecificationMonitor(), () -> 0, at -> Answering.ANSWERS)),
                        0,
                        eventLoop,
                        workers,
                        new SplittableRandom(1))
                .port();
    }

    @AfterAll
    void stop() {
        eventLoop.shutdownGracefully();
        workers.shutdown();
    }

    @ParameterizedTest(name = "{0}")
    @CsvFileSource(resources = "/modbus_frames.csv", numLinesToSkip = 1)
    void aFrameIsAnsweredAsTheSpecificationSays(
            String name, String requestPdu, String responsePdu, String source, String rtu, String requestTcp)
            throws Exception {
        String pdu = expected(name, requestPdu, responsePdu);
        int length = pdu.split(" ").length + 1;
        try (RawClient client = new RawClient(port)) {
            assertThat(client.ask(requestTcp)).isEqualTo("00 01 00 00 00 %02X FF %s".formatted(length, pdu));
        }
    }

    /** A monitor is never written to: each function that would write is unknown to it (exception 01). */
    private static String expected(String name, String requestPdu, String responsePdu) {
        if (name.startsWith("limit ok")) {
            return "03 FA" + " 00".repeat(214) + " 02 2B 00 00 00 64" + " 00".repeat(30);
        }
        int function = Integer.parseInt(requestPdu.substring(0, 2), 16);
        boolean offered = function <= 0x04 || function == 0x2B;
        return offered || name.startsWith("exception") ? responsePdu : "%02X 01".formatted(function | 0x80);
    }

    @Test
    void aFrameCutInTwoIsStillOneFrame() throws Exception {
        try (RawClient client = new RawClient(port)) {
            client.send("00 01 00 00 00 06 FF");
            client.send("04 00 08 00 01");
            assertThat(client.read()).isEqualTo("00 01 00 00 00 05 FF 04 02 00 0A");
        }
    }

    @Test
    void twoFramesAtOnceAreAnsweredInOrder() throws Exception {
        try (RawClient client = new RawClient(port)) {
            client.send("00 01 00 00 00 06 FF 04 00 08 00 01 00 02 00 00 00 06 FF 03 00 6D 00 01");
            assertThat(client.read()).isEqualTo("00 01 00 00 00 05 FF 04 02 00 0A");
            assertThat(client.read()).isEqualTo("00 02 00 00 00 05 FF 03 02 00 64");
        }
    }

    /** MAP V1.1b3 6.21: a device of basic level answers a demand for regular or extended at its own level. */
    @Test
    void aDemandForMoreIdentificationThanThereIsGetsTheBasicObjects() throws Exception {
        try (RawClient client = new RawClient(port)) {
            String basic = client.ask("00 01 00 00 00 05 FF 2B 0E 01 00");
            String regular = client.ask("00 01 00 00 00 05 FF 2B 0E 02 00");
            assertThat(regular.replace("2B 0E 02", "2B 0E 01")).isEqualTo(basic);
        }
    }

    /** MAP V1.1b3 6.21: a code that is none gets exception 03; here also one object alone, which the level lacks. */
    @Test
    void anIdentificationCodeThatIsNoneIsRefused() throws Exception {
        try (RawClient client = new RawClient(port)) {
            assertThat(client.ask("00 01 00 00 00 05 FF 2B 0E 00 00")).isEqualTo("00 01 00 00 00 03 FF AB 03");
            assertThat(client.ask("00 01 00 00 00 05 FF 2B 0E 04 01")).isEqualTo("00 01 00 00 00 03 FF AB 03");
        }
    }
}
