package oilbird.demoplant;

import static org.assertj.core.api.Assertions.assertThat;

import java.net.URI;
import java.net.http.HttpClient;
import java.net.http.HttpRequest;
import java.net.http.HttpResponse;
import java.util.Map;
import java.util.concurrent.atomic.AtomicBoolean;
import java.util.concurrent.atomic.AtomicLong;
import oilbird.demoplant.plant.Plant;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.TestInstance;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

@TestInstance(TestInstance.Lifecycle.PER_CLASS)
class CommandsTest {
    private final AtomicBoolean quit = new AtomicBoolean();
    private final AtomicBoolean day = new AtomicBoolean();
    private final AtomicLong now = new AtomicLong(60_000);
    private LivePlant plant;
    private Commands commands;

    @BeforeAll
    void start() throws Exception {
        plant = LivePlant.start(Plant.windlow(1), Map.of(), 1, now::get);
        commands = new Commands(plant, () -> day.set(true));
    }

    @BeforeEach
    void nothingIsHeldOrBegun() {
        plant.plant().monitors().keySet().forEach(device -> commands.obey("reset " + device));
        day.set(false);
        quit.set(false);
    }

    @AfterAll
    void stop() {
        plant.close();
    }

    @Test
    void aBitIsHeldByNameOrPlaceAndGivenBack() throws Exception {
        assertThat(commands.obey("bit gas-t1 detector-fault on").text()).isEqualTo("gas-t1 detector-fault is on");
        assertThat(status() & 0b1000).isEqualTo(0b1000);
        assertThat(commands.obey("bit gas-t1 status:3 off").done()).isTrue();
        assertThat(status() & 0b1000).isZero();
        assertThat(commands.obey("  bit   cooling-t2 input:12 on ").done()).isTrue();
        assertThat(commands.obey("state").text())
                .contains("held by command: input:12")
                .contains("held by command: detector-fault");
        assertThat(commands.obey("bit gas-t1 detector-fault auto").done()).isTrue();
        assertThat(commands.obey("state").text()).doesNotContain("held by command: detector-fault");
    }

    @Test
    void aReadingIsHeldAndTheMonitorsOwnLogicFollows() throws Exception {
        assertThat(commands.obey("reading gas-t1 oil-flow 0.02").done()).isTrue();
        assertThat(status() & 0b100).isEqualTo(0b100);
        assertThat(commands.obey("reset gas-t1").done()).isTrue();
        assertThat(status() & 0b100).isZero();
    }

    @Test
    void aRegisterIsHeldRaw() throws Exception {
        assertThat(commands.obey("register gas-t1 0 0xFFFF").done()).isTrue();
        assertThat(status()).isEqualTo(0xFFFF);
    }

    @Test
    void aBehaviourIsChanged() {
        assertThat(commands.obey("behave gas-t2 slow 800").text()).isEqualTo("gas-t2 is now slow 800");
        assertThat(commands.obey("behave gas-t2 exception 0x0B").text()).isEqualTo("gas-t2 is now exception 11");
        assertThat(commands.obey("behave gas-t2 normal").text()).isEqualTo("gas-t2 is now normal");
    }

    @ParameterizedTest
    @CsvSource(delimiter = '|', textBlock = """
                    frobnicate                         | unknown command "frobnicate"; say help
                    bit gas-t1 detector-fault          | the command is: bit DEVICE BIT on|off|auto
                    bit gas-t9 detector-fault on       | no device "gas-t9"; there are gas-t1, cooling-t1, moisture-t1, gas-t2
                    bit gas-t1 status:16 on            | gas-t1 has no bit "status:16"; it has cabinet-fan-stopped
                    bit gas-t1 detector-fault maybe    | a bit is put on, off or auto, not "maybe"
                    reading gas-t1 nitrogen 5          | gas-t1 has no reading "nitrogen"; it has hydrogen
                    reading gas-t1 oil-flow much       | "much" is neither a number nor no-value nor auto
                    reading gas-t1 oil-flow -1         | oil-flow cannot carry -1; its registers hold 0.00000 to 655.350 l/min
                    reading gas-t1 hydrogen NaN        | hydrogen cannot carry NaN
                    reading gas-t1 supply no-value     | the maker has no code for "no value" in supply
                    register gas-t1 38 1               | gas-t1 has registers 0 to 37, not "38"
                    register gas-t1 1 65536            | a register holds 0 to 65535 (or 0x0000 to 0xFFFF), not "65536"
                    register moisture-t1 1 1           | moisture-t1 has no registers
                    behave moisture-t1 silent          | moisture-t1 speaks OPC UA
                    fault fan-stopped cooling-t1 on    | no fault fan-stopped can befall cooling-t1; there are [fan-group-1-motor
                    fault fan-stopped gas-t9 on        | nothing can befall gas-t9; there are [gas-t1
                    fault fan-stopped gas-t1 off       | fan-stopped is not on at gas-t1
                    fault fan-stopped gas-t1 perhaps   | a fault is put on or off, not "perhaps"
                    behave gas-t1 angry                | no behaviour "angry"; there are normal, silent
                    behave gas-t1 slow                 | slow needs a number
                    behave gas-t1 silent 4             | silent takes no number
                    behave gas-t1 exception 256        | exception takes 1 to 255, not "256"
                    """)
    void aBadCommandChangesNothingAndIsAnsweredWithWhatWouldDo(String command, String complaint) {
        String before = commands.obey("state").text();
        Commands.Answer answer = commands.obey(command);
        assertThat(answer.done()).isFalse();
        assertThat(answer.text()).startsWith(complaint.strip().split("\\|\\|")[0]);
        assertThat(commands.obey("state").text()).isEqualTo(before);
    }

    @Test
    void anEndlessCommandIsRefused() {
        assertThat(commands.obey("bit ".repeat(1_000)).text()).isEqualTo("a command has at most 500 characters");
    }

    @Test
    void aFaultIsPlayedFromNowOnAndEndedNow() throws Exception {
        assertThat(commands.obey("fault detection-cell-failed gas-t1 on").done())
                .isTrue();
        now.addAndGet(1_000);
        assertThat(status() & 0b1000).isEqualTo(0b1000);
        assertThat(commands.obey("fault detection-cell-failed gas-t1 off").done())
                .isTrue();
        assertThat(status() & 0b1000).isZero();
        assertThat(commands.obey("faults aux-t1").text()).contains("auxiliary-supply-lost: ");
    }

    @Test
    void theDayBeginsOnCommand() {
        assertThat(commands.obey("day").done()).isTrue();
        assertThat(day).isTrue();
    }

    @Test
    void quitEndsThePlant() {
        assertThat(commands.obey("quit").last()).isTrue();
        assertThat(commands.obey("state").last()).isFalse();
    }

    @Test
    void theSameCommandsComeByHttpFromThisMachine() throws Exception {
        try (CommandDoor door = CommandDoor.open(0, commands, () -> quit.set(true))) {
            assertThat(post(door, "bit gas-t1 detector-fault on", null).statusCode())
                    .isEqualTo(200);
            assertThat(status() & 0b1000).isEqualTo(0b1000);
            HttpResponse<String> bad = post(door, "bit gas-t1", null);
            assertThat(bad.statusCode()).isEqualTo(400);
            assertThat(bad.body()).startsWith("the command is: bit DEVICE BIT");
            assertThat(send(HttpRequest.newBuilder(uri(door, "/state")).GET()).body())
                    .contains("gas-t1: port");
            assertThat(send(HttpRequest.newBuilder(uri(door, "/command")).GET()).statusCode())
                    .isEqualTo(405);
            assertThat(send(HttpRequest.newBuilder(uri(door, "/nowhere")).GET()).statusCode())
                    .isEqualTo(404);
            assertThat(quit).isFalse();
            assertThat(post(door, "quit", null).statusCode()).isEqualTo(200);
        }
    }

    @Test
    void aPageOfAnotherSiteMayNotGiveCommands() throws Exception {
        try (CommandDoor door = CommandDoor.open(0, commands, () -> quit.set(true))) {
            assertThat(post(door, "bit gas-t1 detector-fault on", "http://elsewhere.invalid")
                            .statusCode())
                    .isEqualTo(403);
            assertThat(status() & 0b1000).isZero();
        }
    }

    private int status() throws Exception {
        try (RawClient client = new RawClient(plant.portOf("gas-t1"))) {
            String answer = client.ask("00 01 00 00 00 06 0B 04 00 00 00 01");
            return Integer.parseInt(answer.substring(answer.length() - 5).replace(" ", ""), 16);
        }
    }

    private static HttpResponse<String> post(
            CommandDoor door, String command, @org.jspecify.annotations.Nullable String origin) throws Exception {
        HttpRequest.Builder request =
                HttpRequest.newBuilder(uri(door, "/command")).POST(HttpRequest.BodyPublishers.ofString(command));
        return send(origin == null ? request : request.header("Origin", origin));
    }

    private static HttpResponse<String> send(HttpRequest.Builder request) throws Exception {
        return HttpClient.newHttpClient().send(request.build(), HttpResponse.BodyHandlers.ofString());
    }

    private static URI uri(CommandDoor door, String path) {
        return URI.create("http://127.0.0.1:" + door.port() + path);
    }
}
