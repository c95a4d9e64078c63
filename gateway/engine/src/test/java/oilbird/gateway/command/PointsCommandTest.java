package oilbird.gateway.command;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.LocalDate;
import java.util.List;
import java.util.stream.Stream;
import oilbird.gateway.station.StationFolder;
import oilbird.mapping.text.Problem;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class PointsCommandTest {
    private static final Path DEMO = Path.of("../../deploy/demo-station");
    private static final String LIST = "control-room.csv";
    private static final String GIVEN_OUT = "control-room.given-out.csv";
    private static final LocalDate TODAY = LocalDate.of(2026, 12, 1);

    @TempDir
    Path folder;

    private String said = "";

    @BeforeEach
    void aCopyOfTheDemoStation() throws IOException {
        try (Stream<Path> paths = Files.walk(DEMO)) {
            for (Path path : paths.filter(Files::isRegularFile).toList()) {
                Path target = folder.resolve(DEMO.relativize(path).toString());
                Files.createDirectories(target.getParent());
                Files.copy(path, target);
            }
        }
    }

    private int points(String... words) {
        ByteArrayOutputStream bytes = new ByteArrayOutputStream();
        PrintStream out = new PrintStream(bytes, true, StandardCharsets.UTF_8);
        int status = PointsCommand.run(
                Stream.concat(Stream.of(folder.toString()), Stream.of(words)).toList(), out, TODAY);
        said = bytes.toString(StandardCharsets.UTF_8);
        return status;
    }

    private void replace(String file, String from, String to) throws IOException {
        Path path = folder.resolve(file);
        String text = Files.readString(path);
        assertThat(text).contains(from);
        Files.writeString(path, text.replace(from, to));
    }

    private List<String> mistakes() {
        return StationFolder.load(folder).problems().stream()
                .filter(p -> p.severity() == Problem.Severity.ERROR)
                .map(Problem::toString)
                .toList();
    }

    @Test
    void whatIsServedIsATableWithMeaningPriorityAndWhyTheAlarmExists() {
        assertThat(points("--link", "control-room", "--format", "csv")).isZero();
        List<String> lines = said.lines().toList();
        assertThat(lines).hasSize(22);
        assertThat(lines.get(0))
                .isEqualTo("link,address,subject,text,type,polarity,unit,priority,means,rationalization");
        assertThat(lines)
                .anySatisfy(line -> assertThat(line)
                        .startsWith(
                                "control-room,1012,alarm t1/gas-t1.oil-flow-low,T1 GAS MONITOR NO OIL FLOW,"
                                        + "single-point,normal,,major,Transformer 1: oil no longer flows through the gas monitor,")
                        .contains("class instrument-diagnostic; causes: a valve left shut"));
        assertThat(lines).anySatisfy(line -> assertThat(line).contains(",3004,").contains(",inverted,"));
    }

    @Test
    void withoutAListTheDefaultPointsAreTold() throws IOException {
        replace(
                "station.yaml",
                "points: {list: control-room.csv, most_points: 64, longest_text: 32, life_sign: 10 s}",
                "");
        assertThat(points("--link", "control-room")).isZero();
        assertThat(said.lines()).hasSize(14);
        assertThat(said).contains("control-room,t1.transformer-trouble,summary t1/transformer-trouble,");
    }

    @Test
    void aNewAddressIsRefusedUntilItIsGivenOut() throws IOException {
        String row = "1031,alarm t1/gas-t1.no-answer,single-point,,T1 GAS MONITOR SILENT,\n";
        Files.writeString(folder.resolve(LIST), Files.readString(folder.resolve(LIST)) + row);
        assertThat(mistakes())
                .singleElement()
                .asString()
                .startsWith("control-room.csv:23:1: error: this address is not among those given out in " + GIVEN_OUT
                        + ": 1031; run");
        assertThat(points("--give-out")).isZero();
        assertThat(said).contains(GIVEN_OUT + ": 1 given out, 0 more withdrawn, 22 in all");
        assertThat(mistakes()).isEmpty();
        assertThat(Files.readString(folder.resolve(GIVEN_OUT)))
                .endsWith("1031,alarm t1/gas-t1.no-answer,2026-12-01,\n");
    }

    @Test
    void aRowThatIsGoneLeavesItsAddressTakenForEver() throws IOException {
        replace(LIST, "1012,alarm t1/gas-t1.oil-flow-low,single-point,,T1 GAS MONITOR NO OIL FLOW,\n", "");
        assertThat(points("--give-out")).isZero();
        assertThat(Files.readString(folder.resolve(GIVEN_OUT)))
                .contains("1012,alarm t1/gas-t1.oil-flow-low,2026-11-30,2026-12-01\n");
        replace(LIST, "1021,reading", "1012,reading");
        assertThat(mistakes())
                .singleElement()
                .asString()
                .contains("the address `1012` was given to `alarm t1/gas-t1.oil-flow-low`")
                .contains("withdrawn 2026-12-01")
                .endsWith("give `reading gas-t1/hydrogen` an address that was never used, for example 9004");
        assertThat(points("--give-out")).isEqualTo(StationCheck.REFUSED);
        assertThat(said).contains("is never given to anything else");
    }

    @Test
    void aListThatIsMissingOrElsewhereIsTold() throws IOException {
        Files.delete(folder.resolve(LIST));
        assertThat(mistakes())
                .singleElement()
                .asString()
                .contains("there is no point list `control-room.csv` in the station folder");
        replace("station.yaml", "list: control-room.csv", "list: ../control-room.csv");
        assertThat(mistakes()).singleElement().asString().contains("is not in the station folder");
    }

    @Test
    void aLifeSignThatFloodsTheLinkIsRefused() throws IOException {
        replace("station.yaml", "life_sign: 10 s", "life_sign: 10 ms");
        assertThat(mistakes())
                .singleElement()
                .asString()
                .contains("a life sign that changes more often than once a second floods the link");
    }

    @Test
    void whatIsAskedForWronglyIsToldWithTheWayToAsk() {
        assertThat(points("--link", "nowhere")).isEqualTo(Main.USAGE);
        assertThat(said).contains("the station has no link nowhere; its links are control-room,");
        assertThat(points("--format", "pdf")).isEqualTo(Main.USAGE);
        assertThat(points("--link")).isEqualTo(Main.USAGE);
        assertThat(said).startsWith("usage: points STATION");
    }

    @Test
    void aPointListMakesNoOtherVersionOfTheRules() throws IOException {
        String before =
                StationFolder.load(folder).result().orElseThrow().model().rulesVersion();
        replace(LIST, "T1 HYDROGEN HIGH", "T1 H2 HIGH");
        assertThat(StationFolder.load(folder).result().orElseThrow().model().rulesVersion())
                .isEqualTo(before);
    }
}
