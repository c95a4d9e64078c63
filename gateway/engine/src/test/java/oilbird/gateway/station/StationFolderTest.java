package oilbird.gateway.station;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.IOException;
import java.net.URI;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.stream.Stream;
import oilbird.alarm.rule.Shared;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.station.StationFold;
import oilbird.alarm.station.StationInput;
import oilbird.alarm.transformer.derived.Quantity;
import oilbird.alarm.transformer.derived.TransformerSetup;
import oilbird.gateway.access.AccessRules;
import oilbird.mapping.address.RawBlock;
import oilbird.mapping.address.ReadBlock;
import oilbird.mapping.decode.Decoder;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.SignalId;
import oilbird.mapping.text.Loaded;
import oilbird.mapping.text.Problem;
import oilbird.mapping.text.Problem.Severity;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class StationFolderTest {
    private static final Path DEMO = Path.of("../../deploy/demo-station");

    @TempDir
    Path folder;

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

    private void replace(String file, String from, String to) throws IOException {
        Path path = folder.resolve(file);
        String text = Files.readString(path);
        assertThat(text).contains(from);
        int at = text.indexOf(from);
        Files.writeString(path, text.substring(0, at) + to + text.substring(at + from.length()));
    }

    private List<String> mistakes() {
        Loaded<Station> loaded = StationFolder.load(folder);
        assertThat(loaded.value()).isNull();
        return loaded.problems().stream().map(Problem::toString).toList();
    }

    @Test
    void theDemoStationIsRightAndCausesNoWarning() {
        Loaded<Station> loaded = StationFolder.load(folder);

        assertThat(loaded.problems()).isEmpty();
        Station station = loaded.result().orElseThrow();
        assertThat(station.devices())
                .extracting(PolledDevice::id)
                .containsExactly(
                        "gas-t1",
                        "cooling-t1",
                        "moisture-t1",
                        "gas-t2",
                        "cooling-t2",
                        "bushing-t2",
                        "gas-t3",
                        "cooling-t3",
                        "tap-t3");
        assertThat(station.model().rules())
                .extracting(rule -> rule.id().toString())
                .contains(
                        "t1/gas-t1.cabinet-fan-stopped",
                        "t2/gas-t2.hydrogen-high",
                        "gateway/gateway.record-not-written")
                .doesNotHaveDuplicates();
        assertThat(station.model().rules())
                .allSatisfy(rule -> assertThat(rule.unverified()).isEmpty());
        assertThat(station.model().rulesVersion()).hasSize(64);
    }

    @Test
    void whoMayDoWhatIsReadWithTheFolderAndItsMistakesAreTold() throws IOException {
        assertThat(StationFolder.load(folder).result().orElseThrow().access()).isEqualTo(AccessRules.DEFAULT);
        Files.writeString(folder.resolve("access.yaml"), "access: 1\nroles:\n  head: [view, manage-users]\n");
        assertThat(StationFolder.load(folder)
                        .result()
                        .orElseThrow()
                        .access()
                        .roles()
                        .knows("operator"))
                .isFalse();
        Files.writeString(folder.resolve("access.yaml"), "access: 1\nroles:\n  head: [look, manage-users]\n");
        assertThat(mistakes()).singleElement().asString().startsWith("access.yaml:3:10: error: `look`");
    }

    @Test
    void whateverADemoDeviceAnswersTheStationKnowsEverySignalInIt() {
        Station station = StationFolder.load(folder).result().orElseThrow();
        Moment at = new Moment(1_000_000_000L, 1_700_000_000_000L, true);
        StationFold fold = StationFold.start(station.model(), List.of(), null, "gw", 1, at);
        List<String> told = new ArrayList<>();
        for (PolledDevice device : station.devices()) {
            Decoder decoder = new Decoder(device.map());
            for (ReadBlock block : device.map().readPlan()) {
                Decoded decoded = decoder.decode(device.id(), new RawBlock(block, new int[block.count()]), at);
                fold.apply(new StationInput.Observed(decoded));
                decoded.readings().forEach(r -> told.add(r.id().toString()));
                decoded.indications().forEach(i -> told.add(i.id().toString()));
            }
        }
        assertThat(told)
                .contains("gas-t1/hydrogen", "gas-t1/analysis-state", "gas-t2/oil-flow-low", "cooling-t2/pump-tripped")
                .doesNotHaveDuplicates();
    }

    @Test
    void aMistypedAssetAndMapAreNamedWithWhatToWriteInstead() throws IOException {
        replace("station.yaml", "asset: t2", "asset: t9");
        replace("station.yaml", "map: tcc-4", "map: tcc4");

        assertThat(mistakes())
                .anySatisfy(m -> assertThat(m)
                        .matches("station.yaml:\\d+:12: error: there is no asset `t9`; write one of t1, t2, t3"))
                .anySatisfy(m -> assertThat(m)
                        .matches("station.yaml:\\d+:10: error: there is no device map `tcc4`; .*hbg-8, .*tcc-4"));
    }

    @Test
    void anIdGivenTwiceOrTakenByTheGatewayIsRefused() throws IOException {
        replace("station.yaml", "id: cooling-t1", "id: gas-t1");
        replace("station.yaml", "- id: t2", "- id: gateway");

        assertThat(mistakes())
                .anySatisfy(m -> assertThat(m).contains("the device id `gas-t1` is already given in line"))
                .anySatisfy(m -> assertThat(m).contains("the asset id `gateway` belongs to the gateway itself"));
    }

    @Test
    void anUnknownPollClassAndAPeriodOutOfBoundsAreRefused() throws IOException {
        replace(
                "station.yaml",
                "poll: {status: 1 min, readings: 2 min, rarely: 4 h}",
                "poll: {fast: 1 s, status: 1 ms}");

        assertThat(mistakes())
                .anySatisfy(m -> assertThat(m).contains("the map hbg-8 has no poll class `fast`; write one of status"))
                .anySatisfy(m -> assertThat(m).contains("a polling period is 10 ms to 24 h"));
    }

    @Test
    void periodsThatDoNotFitTheLineAreRefusedWithWhatToDo() throws IOException {
        replace(
                "station.yaml",
                "poll: {status: 1 min, readings: 2 min, rarely: 4 h}",
                "poll: {status: 10 ms, readings: 50 ms}");

        assertThat(mistakes())
                .anySatisfy(m -> assertThat(m)
                        .matches(
                                "station.yaml:\\d+:10: error: the line 127.0.0.1:15021 is busy for \\d{3} % of the time"
                                        + " with \\d requests \\(20 ms each, estimated\\): the periods do not fit; make the periods"
                                        + " under poll: at least \\d\\.\\d times as long, or read less"));
    }

    @Test
    void devicesBehindOneHostAndPortShareTheirLine() throws IOException {
        replace("station.yaml", "port: 15022", "port: 15021");

        Station station = StationFolder.load(folder).result().orElseThrow();

        assertThat(LineLoad.of(station.devices()))
                .extracting(LineLoad::name, line -> line.devices().size())
                .containsExactly(
                        org.assertj.core.groups.Tuple.tuple("127.0.0.1:15021", 2),
                        org.assertj.core.groups.Tuple.tuple("127.0.0.1:15023", 1),
                        org.assertj.core.groups.Tuple.tuple("127.0.0.1:15024", 1),
                        org.assertj.core.groups.Tuple.tuple("127.0.0.1:15025", 3));
    }

    @Test
    void aValueThatMustMoveIsStaleWhenItStaysTheSameAndFreshWithTheNextChange() throws IOException {
        replace("maps/tcc-4.yaml", "    semantic: SIML.Tmp\n", "    semantic: SIML.Tmp\n    frozen_after: 10 min\n");
        Station station = StationFolder.load(folder).result().orElseThrow();
        Moment at = new Moment(1_000_000_000L, 1_700_000_000_000L, true);
        StationFold fold = StationFold.start(station.model(), List.of(), null, "gw", 1, at);
        PolledDevice device = station.devices().get(1);
        Decoder decoder = new Decoder(device.map());
        ReadBlock block = device.map().readPlan().stream()
                .filter(b -> device.map().readingsOf(b).contains("top-oil-temperature"))
                .findFirst()
                .orElseThrow();
        List<QualityReason> found = new ArrayList<>();
        int[] minutes = {0, 5, 9, 11, 12};
        int[] values = {600, 600, 600, 600, 601};
        for (int i = 0; i < minutes.length; i++) {
            Moment then = at.plusNanos(minutes[i] * 60_000_000_000L);
            int[] cells = new int[block.count()];
            cells[0] = values[i];
            fold.apply(new StationInput.Elapsed(then));
            fold.apply(new StationInput.Observed(decoder.decode(device.id(), new RawBlock(block, cells), then)));
            fold.view().devices().values().stream()
                    .flatMap(d -> d.readings().stream())
                    .filter(r -> r.reading().id().owner().equals(device.id()))
                    .filter(r -> r.reading().id().name().equals("top-oil-temperature"))
                    .forEach(r -> found.add(r.reading().reason()));
        }
        assertThat(found)
                .containsExactly(
                        QualityReason.NONE,
                        QualityReason.NONE,
                        QualityReason.NONE,
                        QualityReason.STALE,
                        QualityReason.NONE);
    }

    @Test
    void aRuleOnAnUnknownIndicationIsRefusedWithItsPlace() throws IOException {
        replace("rules/gas-monitors.yaml", "{indication: oil-flow-low}", "{indication: oil-flow-lo}");

        assertThat(mistakes())
                .anySatisfy(m -> assertThat(m)
                        .matches("rules/gas-monitors.yaml:\\d+:\\d+: error: .*oil-flow-lo.*; .*oil-flow-low.*"));
    }

    @Test
    void theTrapsOfYamlAreTold() throws IOException {
        replace("station.yaml", "acknowledgement: here", "acknowledgement: no");
        replace("station.yaml", "port: 15021", "port: 015021");
        replace("rules/cooling.yaml", "also_hardwired: true", "also_hardwired: yes");

        assertThat(mistakes())
                .anySatisfy(
                        m -> assertThat(m).matches("station.yaml:\\d+:\\d+: error: .*`?no`? .*here.*control-room.*"))
                .anySatisfy(m -> assertThat(m).matches("station.yaml:\\d+:\\d+: error: `015021` is ambiguous.*15021.*"))
                .anySatisfy(m -> assertThat(m)
                        .matches(
                                "rules/cooling.yaml:\\d+:\\d+: error: `yes` is a text, not true or false; write true"));
    }

    @Test
    void everyMistakeOfEveryFileIsListedAtOnceInFileOrder() throws IOException {
        replace("station.yaml", "acknowledgement: here", "acknowledgment: here");
        replace("maps/hbg-8.yaml", "type: float32", "typ: float32");
        replace("rules/cooling.yaml", "priority: minor", "priority: low");

        assertThat(mistakes())
                .hasSizeGreaterThanOrEqualTo(3)
                .isSortedAccordingTo((a, b) -> a.split(":")[0].compareTo(b.split(":")[0]));
        assertThat(mistakes())
                .anySatisfy(m -> assertThat(m).startsWith("station.yaml:").contains("did you mean acknowledgement?"))
                .anySatisfy(m -> assertThat(m).startsWith("maps/hbg-8.yaml:").contains("did you mean type?"))
                .anySatisfy(m -> assertThat(m).startsWith("rules/cooling.yaml:").contains("low"));
    }

    @Test
    void aMissingFileAFolderWithoutMapsAndBrokenEncodingAreTold() throws IOException {
        Files.delete(folder.resolve("station.yaml"));
        Files.write(
                folder.resolve("rules/cooling.yaml"),
                "alarm_rules: 1\ntext: K\u00fchlung\n".getBytes(StandardCharsets.ISO_8859_1));

        assertThat(mistakes())
                .anySatisfy(m -> assertThat(m).startsWith("station.yaml:1:1: error: the file is missing"))
                .anySatisfy(m -> assertThat(m).startsWith("rules/cooling.yaml:2:8: error: this is not UTF-8"));
    }

    @Test
    void aMapNamedOtherwiseThanItsFileIsRefused() throws IOException {
        Files.move(folder.resolve("maps/tcc-4.yaml"), folder.resolve("maps/tcc-5.yaml"));

        assertThat(mistakes())
                .anySatisfy(m -> assertThat(m).startsWith("maps/tcc-5.yaml:1:1: error: the map is named `tcc-4`"));
    }

    /** Puts entries in the place of those that the demo station has. */
    private void share(String entries) throws IOException {
        Path path = folder.resolve("station.yaml");
        String text = Files.readString(path);
        int from = text.indexOf("shared:\n");
        int to = text.indexOf("# What two devices tell only together", from);
        assertThat(from).isPositive().isLessThan(to);
        Files.writeString(path, text.substring(0, from) + "shared:\n" + entries + "\n" + text.substring(to));
    }

    @Test
    void whatDevicesShareIsKnownToTheStation() throws IOException {
        share("  - {id: aux-t1, name: auxiliary supply of bay T1, kind: auxiliary-supply, asset: t1,"
                + " devices: [gas-t1, cooling-t1]}\n"
                + "  - {id: switch-1, name: network switch of the building, kind: network-switch,"
                + " devices: [gas-t1, gas-t2, cooling-t1]}\n"
                + "  - {id: hydrogen, name: hydrogen of both transformers, kind: probe-pair,"
                + " points: [gas-t1.hydrogen, gas-t2.hydrogen]}\n");

        Loaded<Station> loaded = StationFolder.load(folder);

        assertThat(loaded.problems()).noneMatch(p -> p.toString().startsWith("station.yaml"));
        StationFacts facts = loaded.result().orElseThrow().model().facts();
        // The Modbus gateway of transformer 3 is known by its devices' one host and port.
        assertThat(facts.shared())
                .filteredOn(shared -> !shared.id().startsWith("at-"))
                .containsExactly(
                        new Shared(
                                "aux-t1",
                                "auxiliary supply of bay T1",
                                Shared.Kind.AUXILIARY_SUPPLY,
                                "t1",
                                List.of("gas-t1", "cooling-t1"),
                                List.of()),
                        new Shared(
                                "switch-1",
                                "network switch of the building",
                                Shared.Kind.NETWORK_SWITCH,
                                "gateway",
                                List.of("gas-t1", "gas-t2", "cooling-t1"),
                                List.of()),
                        new Shared(
                                "hydrogen",
                                "hydrogen of both transformers",
                                Shared.Kind.PROBE_PAIR,
                                "gateway",
                                List.of(),
                                List.of(new SignalId("gas-t1", "hydrogen"), new SignalId("gas-t2", "hydrogen"))));
        assertThat(facts.sharedBy("cooling-t1")).extracting(Shared::id).containsExactly("aux-t1", "switch-1");
    }

    @Test
    void mistakesInWhatDevicesShareAreNamedWithWhatToWriteInstead() throws IOException {
        share(
                "  - {id: wrong, name: a, kind: network-switch, devices: [gas-t1, gas-t9]}\n"
                        + "  - {id: pair, name: b, kind: probe-pair, points: [gas-t1.hydrogn, gas-t2.moisture]}\n"
                        + "  - {id: mixed, name: c, kind: probe-pair, devices: [gas-t1]}\n"
                        + "  - {id: line, name: d, kind: serial-line, asset: t9, points: [gas-t1.hydrogen, gas-t2.hydrogen]}\n");

        assertThat(mistakes())
                .anySatisfy(
                        m -> assertThat(m)
                                .matches(
                                        "station.yaml:\\d+:\\d+: error: there is no device `gas-t9`; did you mean gas-t[123]\\?"))
                .anySatisfy(m -> assertThat(m).contains("has no point `hydrogn`; did you mean hydrogen?"))
                .anySatisfy(m -> assertThat(m).contains("a probe-pair needs its two readings"))
                .anySatisfy(m -> assertThat(m).contains("a probe-pair has points, not devices"))
                .anySatisfy(m -> assertThat(m).contains("a serial-line has devices, not points"))
                .anySatisfy(m -> assertThat(m).contains("there is no asset `t9`; write one of t1, t2, t3, gateway"));
    }

    @Test
    void aSharedThingNeedsAnIdOfItsOwnAndAKindThatIsKnown() throws IOException {
        share("  - {id: gas-t1, name: a, kind: network-switch, devices: [gas-t1, gas-t2]}\n"
                + "  - {id: hub, name: b, kind: network-hub, devices: [gas-t1]}\n");

        assertThat(mistakes())
                .anySatisfy(m -> assertThat(m).contains("the device id `gas-t1` is already given in line"))
                .anySatisfy(m -> assertThat(m).contains("network-hub").contains("network-switch"));
    }

    @Test
    void aSwitchWithOneDeviceIsWarnedOf() throws IOException {
        share("  - {id: switch-1, name: switch, kind: network-switch, devices: [gas-t1]}\n");

        Loaded<Station> loaded = StationFolder.load(folder);

        assertThat(loaded.value()).isNotNull();
        assertThat(loaded.problems())
                .extracting(Problem::toString)
                .filteredOn(p -> p.startsWith("station.yaml"))
                .singleElement()
                .asString()
                .contains("with one device a lost network-switch cannot be told from a lost device");
    }

    @Test
    void aWarningDoesNotStopTheStation() throws IOException {
        replace("rules/cooling.yaml", "    response: Have the fan looked at during the next visit.\n", "");

        Loaded<Station> loaded = StationFolder.load(folder);

        assertThat(loaded.value()).isNotNull();
        assertThat(loaded.problems())
                .extracting(Problem::severity)
                .containsOnly(Severity.WARNING)
                .isNotEmpty();
    }

    @Test
    void theDigestIsOfWhatWasReadWhateverIsWrittenMeanwhile() throws IOException {
        StationFolder.Read read = StationFolder.read(folder);
        Station station = read.station().result().orElseThrow();
        String file = read.rules().keySet().iterator().next();
        Files.writeString(folder.resolve(file), "alarm_rules: 1\nrules: {half");

        assertThat(StationFolder.load(folder).value()).isNull();
        Station again = StationFolder.withRules(folder, read.rules()).result().orElseThrow();
        assertThat(again.model().rulesVersion()).isEqualTo(station.model().rulesVersion());
        assertThat(again.model().rules()).hasSameSizeAs(station.model().rules());
        assertThat(again.model().facts()).isEqualTo(station.model().facts());
    }

    // ---- what is computed of transformers

    @Test
    void semanticNamesSayWhatFeedsTheComputationsOfATransformer() {
        Station station = StationFolder.load(folder).result().orElseThrow();
        TransformerSetup setup = station.model().transformers().get(0);
        assertThat(setup.asset()).isEqualTo("t1");
        assertThat(setup.gasMonitor()).isEqualTo("gas-t1");
        assertThat(setup.feeds())
                .containsEntry(Quantity.HYDROGEN, new TransformerSetup.Feed(new SignalId("gas-t1", "hydrogen"), 1))
                .containsKeys(Quantity.ACETYLENE, Quantity.CARBON_DIOXIDE, Quantity.TOP_OIL, Quantity.AMBIENT);
        assertThat(station.model().facts().device("computed-t1").orElseThrow().asset())
                .isEqualTo("t1");
        assertThat(station.devices()).as("nobody polls it").noneMatch(d -> d.id().startsWith("computed"));
        assertThat(station.model().rules())
                .extracting(rule -> rule.id().toString())
                .contains("t1/computed-t1.discharge-suspected", "t2/computed-t2.gas-rise-fast");
    }

    @Test
    void mistakesInATransformersFactsAreNamedWithTheirRemedies() throws IOException {
        replace("station.yaml", "fluid: mineral-oil", "fluid: mineral oil");
        replace("station.yaml", "in_service_since: 2008-05-20", "in_service_since: 20.5.2008");
        replace("station.yaml", "loss_ratio: 6", "loss_ratio: -6");
        replace("station.yaml", "in_service_since: 1996-09-02", "in_service_since: 1996-02-30");
        replace("station.yaml", "rate_window: 6 h", "rate_window: 3 s");

        assertThat(mistakes())
                .anySatisfy(m -> assertThat(m).contains("`mineral oil` is not known here; did you mean mineral-oil?"))
                .anySatisfy(m -> assertThat(m).contains("20.5.2008").contains("2026-03-31"))
                .anySatisfy(m -> assertThat(m).contains("`-6` is too small; write a number above 0"))
                .anySatisfy(m -> assertThat(m).contains("there is no day `1996-02-30`"))
                .anySatisfy(m -> assertThat(m).contains("the window of a fast rise is 1 min to 14 d"));
    }

    @Test
    void mistakesInWhatFeedsAComputationAreNamedWithTheirRemedies() throws IOException {
        replace(
                "station.yaml",
                "computation: {rate_window: 6 h, residual_centre: 5, residual_half: 8, inputs: {",
                "computation: {gas_monitor: gas-t9, rate_window: 6 h, inputs: {top-oil: cooling-t1/top-oil,"
                        + " ambient: gas-t1/hydrogen, ");
        replace("station.yaml", "      rated_current: 1000\n", "");

        assertThat(mistakes())
                .anySatisfy(m -> assertThat(m).contains("there is no device `gas-t9`; did you mean gas-t1?"))
                .anySatisfy(m -> assertThat(m).contains("has no point `top-oil`"))
                .anySatisfy(m -> assertThat(m).contains("gas-t1/hydrogen is in ppm, which gives no ambient"))
                .anySatisfy(m -> assertThat(m).contains("the rated current is not given"));
    }

    @Test
    void ratedDataWithoutLoadAreWarnedOf() throws IOException {
        replace("station.yaml", ", inputs: {load-current: cooling-t1/load-current}", "");

        assertThat(StationFolder.load(folder).problems())
                .singleElement()
                .satisfies(p -> assertThat(p.toString())
                        .contains("hot spot and ageing of `t1` are not computed, since no point feeds the load")
                        .contains("load-current: device/point"));
    }

    @Test
    void twoMonitorsThatAnalyseGasesMustBeChosenFrom() throws IOException {
        replace("station.yaml", "asset: t2", "asset: t1");

        assertThat(mistakes())
                .anySatisfy(m -> assertThat(m)
                        .contains("both gas-t1/hydrogen and gas-t2/hydrogen may feed hydrogen of `t1`")
                        .contains("gas_monitor:"));
    }

    @Test
    void resultsOfUnverifiedPointsAreThemselvesUnverified() throws IOException {
        replace("maps/hbg-8.yaml", "verified: {by:", "# verified: {by:");
        Station station = StationFolder.load(folder).result().orElseThrow();
        assertThat(station.model().facts().device("computed-t1").orElseThrow().unverified())
                .contains("gas-status", "discharge-suspected")
                .doesNotContain("hot-spot");
    }

    private void webhook(String lines) throws IOException {
        Path file = folder.resolve("station.yaml");
        Files.writeString(file, Files.readString(file) + "  - id: desk\n    webhook:\n" + lines.indent(6));
    }

    @Test
    void aWebhookIsReadWithWhereItsSecretIsAndNotTheSecretItself() throws IOException {
        webhook("""
                url: https://desk.example:8443/oilbird
                secret: {file: desk.secret}
                deadline: 4 s
                trusted_certificates: /etc/oilbird/desk-ca.pem
                """);

        Loaded<Station> loaded = StationFolder.load(folder);
        assertThat(loaded.problems()).isEmpty();
        assertThat(loaded.result().orElseThrow().links())
                .contains(new WebhookLinkSettings(
                        "desk",
                        "desk",
                        URI.create("https://desk.example:8443/oilbird"),
                        new SecretSource("desk.secret", null),
                        Duration.ofSeconds(4),
                        Path.of("/etc/oilbird/desk-ca.pem")));
    }

    @Test
    void mistakesInAWebhookAreToldWithWhatToWrite() throws IOException {
        webhook("url: desk.example/oilbird\nsecret: {file: desk.secret, environment: DESK}\n");
        assertThat(mistakes())
                .anyMatch(p -> p.contains("station.yaml:") && p.contains("is no URL of a web server"))
                .anyMatch(p -> p.contains("in a file or in the environment, not in both"));
    }

    @Test
    void aSecretWithinTheStationFolderIsRefused() throws IOException {
        webhook("url: https://desk.example/\nsecret: {file: " + folder.toAbsolutePath() + "/desk.secret}\n");
        assertThat(mistakes()).singleElement().asString().contains("would be kept with the station folder");
    }

    @Test
    void aWebhookOverAnOpenNetworkIsWarnedOf() throws IOException {
        webhook("url: http://desk.example/\nsecret: {environment: DESK_SECRET}\n");
        Loaded<Station> loaded = StationFolder.load(folder);
        assertThat(loaded.value()).isNotNull();
        assertThat(loaded.problems())
                .singleElement()
                .satisfies(p -> assertThat(p.severity()).isEqualTo(Severity.WARNING))
                .asString()
                .contains("use https");
    }

    @Test
    void aLinkSaysWhatItIs() throws IOException {
        Path file = folder.resolve("station.yaml");
        Files.writeString(file, Files.readString(file) + "  - id: desk\n");
        assertThat(mistakes())
                .singleElement()
                .asString()
                .contains("does not say what it is", "`mqtt:`, `opc_ua_server:`, `webhook:`");
    }
}
