package oilbird.gateway.points;

import static org.assertj.core.api.Assertions.assertThat;

import java.nio.file.Path;
import java.time.Duration;
import java.time.LocalDate;
import java.util.List;
import oilbird.alarm.rule.RuleInstance;
import oilbird.alarm.rule.StationFacts;
import oilbird.gateway.station.Station;
import oilbird.gateway.station.StationFolder;
import oilbird.mapping.text.Loaded;
import oilbird.mapping.text.Problem;
import org.junit.jupiter.api.Test;

/** Each refusal of a control room's list by a test; the station is the demo's. */
class PointListReaderTest {
    private static final Station DEMO =
            StationFolder.load(Path.of("../../deploy/demo-station")).result().orElseThrow();
    private static final StationFacts FACTS = DEMO.model().facts();
    private static final List<RuleInstance> RULES = DEMO.model().rules();
    private static final String FILE = "control-room.csv";
    private static final String HEAD = "address,subject,type,polarity,text,unit\n";
    private static final PointListReader.Limits LIMITS = new PointListReader.Limits(40, 32, Duration.ofSeconds(10));

    private static Loaded<PointList> read(String text) {
        return read(text, LIMITS, GivenOut.nothing(GivenOut.fileOf(FILE)), true);
    }

    private static Loaded<PointList> read(
            String text, PointListReader.Limits limits, GivenOut givenOut, boolean newAddresses) {
        return PointListReader.read(FILE, text, FACTS, RULES, limits, givenOut, newAddresses);
    }

    private static List<String> errors(String rows) {
        return read(HEAD + rows).problems().stream()
                .filter(p -> p.severity() == Problem.Severity.ERROR)
                .map(Problem::toString)
                .toList();
    }

    private static String anAlarm() {
        return RULES.stream()
                .filter(r -> r.asset().id().equals("t1"))
                .findFirst()
                .orElseThrow()
                .id()
                .toString();
    }

    @Test
    void aListIsReadWithItsTypesPolarityTextsAndOurUnits() {
        Loaded<PointList> loaded = read(HEAD
                + "1001,summary t1/transformer-trouble,single-point,,T1 TROUBLE,\n"
                + "1002,alarm " + anAlarm() + ",double-point,inverted,\"T1 GAS, FIRST\",\n"
                + "1003,shelved " + anAlarm() + ",single-point,normal,T1 GAS SHELVED,\n"
                + "2001,reading gas-t1/hydrogen,measured-value,,T1 H2,ppm\n"
                + "9001,life-sign,measured-value,,GATEWAY ALIVE,\n");

        PointList list = loaded.result().orElseThrow();
        assertThat(list.points()).hasSize(5);
        assertThat(list.isDefault()).isFalse();
        assertThat(list.at("1002").orElseThrow())
                .isEqualTo(new ControlPoint(
                        "1002",
                        new PointSubject.OfAlarm(RULES.stream()
                                .filter(r -> r.id().toString().equals(anAlarm()))
                                .findFirst()
                                .orElseThrow()
                                .id()),
                        PointType.DOUBLE_POINT,
                        true,
                        "T1 GAS, FIRST",
                        ""));
        assertThat(list.at("2001").orElseThrow().unit()).isEqualTo("ppm");
    }

    @Test
    void semicolonsAndABomAsSpreadsheetsWriteThemAreRead() {
        assertThat(read("\uFEFFaddress;subject;type;text\r\n1;summary t1/monitor-trouble;single-point;M\r\n")
                        .result())
                .isPresent();
    }

    @Test
    void aMisspeltNameIsToldWithTheNearestExistingOne() {
        assertThat(errors("1,reading gas-t1/hydrogn,measured-value,,H2,ppm\n"))
                .containsExactly("control-room.csv:2:3: error: the station has no reading `gas-t1/hydrogn`;"
                        + " did you mean gas-t1/hydrogen?");
        String misspelt = anAlarm().substring(0, anAlarm().length() - 1);
        assertThat(errors("1,alarm " + misspelt + ",single-point,,A,\n"))
                .containsExactly("control-room.csv:2:3: error: the station has no alarm `" + misspelt
                        + "`; did you mean " + anAlarm() + "?");
        assertThat(errors("1,summary t1/transformer-truoble,single-point,,A,\n"))
                .containsExactly("control-room.csv:2:3: error: there is no summary `transformer-truoble`;"
                        + " did you mean transformer-trouble?");
        assertThat(errors("1,summary t9/transformer-trouble,single-point,,A,\n"))
                .singleElement()
                .asString()
                .contains("the station has no asset `t9`");
    }

    @Test
    void whatAPointStandsForIsOneOfFiveThings() {
        assertThat(errors("1,alarn t1/x,single-point,,A,\n"))
                .singleElement()
                .asString()
                .contains("`alarn t1/x` is nothing that a point stands for")
                .endsWith("did you mean alarm?");
        assertThat(errors("1,,single-point,,A,\n")).singleElement().asString().contains("the point stands for nothing");
    }

    @Test
    void anAddressOrASubjectThatComesTwiceIsToldWithTheLineOfTheFirst() {
        assertThat(
                        errors(
                                "7,summary t1/monitor-trouble,single-point,,A,\n7,summary t2/monitor-trouble,single-point,,B,\n"))
                .containsExactly("control-room.csv:3:1: error: the address `7` is already given in line 2;"
                        + " give each point an address of its own");
        assertThat(
                        errors(
                                "7,summary t1/monitor-trouble,single-point,,A,\n8,summary t1/monitor-trouble,single-point,,B,\n"))
                .containsExactly("control-room.csv:3:3: error: `summary t1/monitor-trouble` already has a point in"
                        + " line 2; take one of the two rows out");
    }

    @Test
    void aTextThatIsNotPlainAsciiIsRefusedWithItsAsciiForm() {
        assertThat(errors("1,summary t1/monitor-trouble,single-point,,Ölmonitor gestört 5 µA,\n"))
                .containsExactly("control-room.csv:2:44: error: the text `Ölmonitor gestört 5 µA` has characters that"
                        + " are not plain ASCII; write Oelmonitor gestoert 5 uA");
    }

    @Test
    void aTextThatIsTooLongIsRefused() {
        assertThat(errors("1,summary t1/monitor-trouble,single-point,,THIS TEXT HAS MORE THAN 32 CHARACTERS,\n"))
                .containsExactly("control-room.csv:2:44: error: the text `THIS TEXT HAS MORE THAN 32 CHARACTERS` has 37"
                        + " characters, and the control room shows 32; shorten it, or agree on more and write it under"
                        + " longest_text:");
        assertThat(errors("1,summary t1/monitor-trouble,single-point,,,\n"))
                .singleElement()
                .asString()
                .endsWith("the point has no text; write what is shown, for example Transformer 1 monitor trouble");
    }

    @Test
    void aTextThatTwoPointsShareIsWarnedOf() {
        assertThat(read(HEAD
                                + "1,summary t1/monitor-trouble,single-point,,A,\n2,summary t2/monitor-trouble,single-point,,A,\n")
                        .problems())
                .extracting(Problem::toString)
                .anySatisfy(p -> assertThat(p).contains("warning: the text `A` is already in line 2"));
    }

    @Test
    void aTypeThatDoesNotFitIsRefusedWithThoseThatDo() {
        assertThat(errors("1,reading gas-t1/hydrogen,single-point,,A,\n"))
                .containsExactly("control-room.csv:2:27: error: `reading gas-t1/hydrogen` cannot be a single-point;"
                        + " write measured-value or text");
        assertThat(errors("1,life-sign,text,,A,\n"))
                .containsExactly("control-room.csv:2:13: error: `life-sign` cannot be a text; write single-point or"
                        + " measured-value");
        assertThat(errors("1,summary t1/monitor-trouble,measured-value,,A,\n"))
                .singleElement()
                .asString()
                .endsWith("write single-point or double-point");
        assertThat(errors("1,life-sign,singel-point,,A,\n"))
                .singleElement()
                .asString()
                .endsWith("did you mean single-point?");
    }

    @Test
    void polarityIsForWhatIsOnOrOff() {
        assertThat(errors("1,reading gas-t1/hydrogen,measured-value,inverted,A,\n"))
                .singleElement()
                .asString()
                .contains("a measured-value has no polarity");
        assertThat(errors("1,life-sign,single-point,inverse,A,\n"))
                .singleElement()
                .asString()
                .contains("there is no polarity `inverse`");
    }

    @Test
    void aUnitThatIsNotOursIsRefusedSinceNothingIsConverted() {
        assertThat(errors("1,reading gas-t1/hydrogen,measured-value,,A,%\n"))
                .containsExactly("control-room.csv:2:45: error: the control room expects `%`, and `reading"
                        + " gas-t1/hydrogen` is in ppm; write ppm and let the control room convert; nothing is converted"
                        + " here");
        assertThat(errors("1,life-sign,single-point,,A,s\n"))
                .singleElement()
                .asString()
                .contains("has no unit");
    }

    @Test
    void moreThanTheControlRoomTakesIsRefusedAtTheFirstPointBeyond() {
        Loaded<PointList> loaded = read(
                HEAD + "1,summary t1/monitor-trouble,single-point,,A,\n2,summary t2/monitor-trouble,single-point,,B,\n",
                new PointListReader.Limits(1, 32, Duration.ofSeconds(10)),
                GivenOut.nothing("x"),
                true);
        assertThat(loaded.problems())
                .extracting(Problem::toString)
                .anySatisfy(p -> assertThat(p)
                        .startsWith("control-room.csv:3:1: error: this is point 2 of 2, and the control room takes 1"));
    }

    @Test
    void alarmsThatTheControlRoomWouldNeverHearOfAreListed() {
        List<Problem> onlyT1 = read(HEAD + "1,summary t1/transformer-trouble,single-point,,A,\n")
                .problems();
        assertThat(onlyT1).singleElement().satisfies(p -> {
            assertThat(p.severity()).isEqualTo(Problem.Severity.WARNING);
            assertThat(p.what()).contains("alarms have neither a point nor a summary point that covers it");
        });
        StringBuilder all = new StringBuilder(HEAD);
        int address = 1;
        for (StationFacts.Asset asset : FACTS.assets()) {
            for (Summary summary : List.of(
                    Summary.TRANSFORMER_TROUBLE,
                    Summary.MONITOR_TROUBLE,
                    Summary.COMMUNICATION_LOST,
                    Summary.GATEWAY_TROUBLE)) {
                all.append(address++)
                        .append(",summary ")
                        .append(asset.id())
                        .append('/')
                        .append(summary.written())
                        .append(",single-point,,P")
                        .append(address)
                        .append(",\n");
            }
        }
        assertThat(read(all.toString()).problems())
                .extracting(Problem::what)
                .noneMatch(what -> what.contains("neither a point"));
    }

    @Test
    void aSummaryThatNothingGoesIntoIsWarnedOf() {
        assertThat(read(HEAD + "1,summary t1/gateway-trouble,single-point,,A,\n")
                        .problems())
                .extracting(Problem::what)
                .anySatisfy(what -> assertThat(what)
                        .isEqualTo("no alarm of `t1` goes into gateway-trouble, so the point can never be on"));
    }

    @Test
    void aHeadThatIsNotOneAndRowsThatAreTornAreRefused() {
        assertThat(read("adress,subject,type,text\n").problems())
                .extracting(Problem::toString)
                .contains("control-room.csv:1:1: error: there is no column `adress`; did you mean address?");
        assertThat(errors("1,summary t1/monitor-trouble\n"))
                .singleElement()
                .asString()
                .contains("the row has 2 cells and the table 6 columns");
        assertThat(read("").problems()).extracting(Problem::what).containsExactly("the point list is empty");
        assertThat(read(HEAD).problems()).extracting(Problem::what).containsExactly("the point list has no point");
    }

    // ---- addresses are given out once

    private static final String TWO = HEAD
            + "1001,summary t1/transformer-trouble,single-point,,T1 TROUBLE,\n"
            + "1002,summary t1/monitor-trouble,single-point,,T1 MONITOR,\n";
    private static final LocalDate FIRST = LocalDate.of(2026, 3, 2);
    private static final LocalDate LATER = LocalDate.of(2026, 9, 7);

    private static GivenOut ledger(String list, GivenOut before, LocalDate on) {
        return before.with(
                read(list, LIMITS, before, true).result().orElseThrow().points(), on);
    }

    private static GivenOut again(GivenOut ledger) {
        return GivenOut.read(ledger.file(), ledger.written()).result().orElseThrow();
    }

    @Test
    void anAddressThatWasNotGivenOutIsNotServed() {
        assertThat(read(TWO, LIMITS, GivenOut.nothing("control-room.given-out.csv"), false)
                        .problems())
                .extracting(Problem::toString)
                .anySatisfy(p -> assertThat(p)
                        .startsWith("control-room.csv:2:1: error: 2 addresses are not among those given out in"
                                + " control-room.given-out.csv: 1001, 1002; run `oilbird points STATION --give-out`"));
        GivenOut given = again(ledger(TWO, GivenOut.nothing("control-room.given-out.csv"), FIRST));
        assertThat(read(TWO, LIMITS, given, false).result()).isPresent();
    }

    @Test
    void anAddressIsNeverGivenToAnythingElseNotEvenAfterItsRowIsGone() {
        GivenOut given = again(ledger(TWO, GivenOut.nothing("control-room.given-out.csv"), FIRST));
        String without = TWO.substring(0, TWO.indexOf("1002"));
        GivenOut later = again(ledger(without, given, LATER));
        assertThat(later.entries().get("1002"))
                .isEqualTo(new GivenOut.Entry(3, "summary t1/monitor-trouble", FIRST, LATER));

        String reused = without + "1002,summary t2/monitor-trouble,single-point,,T2 MONITOR,\n";
        for (boolean givingOut : new boolean[] {false, true}) {
            assertThat(read(reused, LIMITS, later, givingOut).problems())
                    .extracting(Problem::toString)
                    .contains(
                            "control-room.csv:3:1: error: the address `1002` was given to `summary t1/monitor-trouble`"
                                    + " (control-room.given-out.csv, line 3, withdrawn 2026-09-07) and is never given to anything"
                                    + " else; give `summary t2/monitor-trouble` an address that was never used, for example"
                                    + " 1003");
        }
    }

    @Test
    void aRowThatComesBackWithItsOldMeaningGetsItsOldAddressBack() {
        GivenOut given = ledger(TWO, GivenOut.nothing("x"), FIRST);
        GivenOut gone = ledger(TWO.substring(0, TWO.indexOf("1002")), given, LATER);
        GivenOut back = again(ledger(TWO, gone, LATER));
        assertThat(back.entries().get("1002"))
                .isEqualTo(new GivenOut.Entry(3, "summary t1/monitor-trouble", FIRST, null));
    }

    @Test
    void aSpoiltListOfGivenOutAddressesIsRefusedAndNotStartedAnew() {
        assertThat(GivenOut.read("x", "").problems())
                .extracting(Problem::remedy)
                .singleElement()
                .asString()
                .startsWith("restore the file from version control");
        String twice = "address,subject,given-out,withdrawn\n1,a,2026-01-01,\n1,b,2026-01-01,\n";
        assertThat(GivenOut.read("x", twice).problems())
                .extracting(Problem::what)
                .containsExactly("the address `1` is already in line 2");
        assertThat(GivenOut.read("x", "address,subject,given-out,withdrawn\n1,a,yesterday,\n")
                        .problems())
                .extracting(Problem::what)
                .containsExactly("`yesterday` is no date");
    }

    @Test
    void theListOfGivenOutAddressesLiesBesideItsList() {
        assertThat(GivenOut.fileOf("points/control-room.csv")).isEqualTo("points/control-room.given-out.csv");
        assertThat(GivenOut.fileOf("a.b/list")).isEqualTo("a.b/list.given-out.csv");
    }

    @Test
    void theDefaultListHasFourPointsATransformerAndALifeSign() {
        PointList list = PointList.byDefault(FACTS);
        assertThat(list.points()).hasSize(3 * 4 + 1);
        assertThat(list.points().stream().map(ControlPoint::address).limit(4))
                .containsExactly(
                        "t1.transformer-trouble",
                        "t1.monitor-trouble",
                        "t1.readings-not-trusted",
                        "t1.communication-lost");
        assertThat(list.at("gateway.life-sign")).isPresent();
        assertThat(list.points()).allMatch(p -> PlainAscii.isPlain(p.text()));
    }
}
