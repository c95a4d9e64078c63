package oilbird.gateway.station;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import java.time.Duration;
import java.util.List;
import java.util.Set;
import java.util.stream.Stream;
import oilbird.alarm.state.AlarmClass;
import oilbird.alarm.state.Priority;
import oilbird.gateway.contract.MessageText;
import oilbird.gateway.engine.outbox.LinkFilter;
import oilbird.gateway.engine.record.RecordBound;
import oilbird.mapping.text.Loaded;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class LinkMannersTest {
    private static final Path DEMO = Path.of("../../deploy/demo-station");

    @TempDir
    Path folder = Path.of("");

    /** The demo station with more keys in its first link and at its end. */
    private Loaded<Station> load(String inLink, String atEnd) throws IOException {
        try (Stream<Path> files = Files.walk(DEMO)) {
            for (Path file : files.filter(Files::isRegularFile).toList()) {
                Path target = folder.resolve(DEMO.relativize(file).toString());
                Files.createDirectories(target.getParent());
                Files.copy(file, target, StandardCopyOption.REPLACE_EXISTING);
            }
        }
        Path yaml = folder.resolve("station.yaml");
        String text = Files.readString(yaml);
        int links = text.indexOf("\nlinks:\n");
        int name = text.indexOf("\n    name:", links);
        Files.writeString(
                yaml,
                text.substring(0, name)
                        + inLink.indent(4).stripTrailing().transform(more -> more.isEmpty() ? "" : "\n" + more)
                        + text.substring(name)
                        + atEnd);
        return StationFolder.load(folder);
    }

    @Test
    void whatALinkTellsIsReadAndLeftOutMeansEverything() throws Exception {
        Station station =
                load("""
                        only: {assets: [t1, gateway], priorities: [critical, major], classes: [equipment-protection], kinds: [alarm, reading]}
                        message: "{priority} {asset}: {sentence}"
                        bytes_a_day: 5 MB
                        """, "\nrecord: {at_most: 1.5GB, keep: 90 d}\n").result().orElseThrow();
        String link = station.links().get(0).id();
        assertThat(station.manner(link))
                .isEqualTo(new LinkManner(
                        new LinkFilter(
                                List.of("t1", "gateway"),
                                Set.of(Priority.CRITICAL, Priority.MAJOR),
                                Set.of(AlarmClass.EQUIPMENT_PROTECTION),
                                Set.of(LinkFilter.Kind.ALARM, LinkFilter.Kind.READING)),
                        MessageText.of("{priority} {asset}: {sentence}"),
                        5_000_000));
        assertThat(station.record()).isEqualTo(new RecordBound(1_500_000_000L, Duration.ofDays(90)));

        Station plain = load("", "").result().orElseThrow();
        assertThat(plain.manner(link)).isEqualTo(LinkManner.PLAIN);
        assertThat(plain.record()).isEqualTo(RecordBound.DEFAULT);
    }

    @Test
    void aPlaceholderThatThereIsNoneOfIsRefusedWithFileLineAndRemedy() throws Exception {
        Loaded<Station> loaded = load("message: \"{asset}: {sentnece} {\"\n", "");
        assertThat(loaded.result()).isEmpty();
        assertThat(loaded.problems())
                .anySatisfy(problem -> assertThat(problem.toString())
                        .matches("(?s)station\\.yaml:\\d+:\\d+: .*there is no placeholder \\{sentnece\\}, \\{.*")
                        .contains("{first_check}"));
    }

    @Test
    void anUnknownAssetAnUnknownPriorityAndASizeWithoutAUnitAreRefused() throws Exception {
        Loaded<Station> loaded =
                load("only: {assets: [t9], priorities: [high]}\nbytes_a_day: 5000\n", "\nrecord: {at_most: 10 kB}\n");
        assertThat(loaded.result()).isEmpty();
        assertThat(loaded.problems())
                .extracting(Object::toString)
                .anySatisfy(p -> assertThat(p).contains("there is no asset `t9`"));
        assertThat(loaded.problems())
                .extracting(Object::toString)
                .anySatisfy(p -> assertThat(p).contains("high"));
        assertThat(loaded.problems())
                .extracting(Object::toString)
                .anySatisfy(p -> assertThat(p).contains("5 MB"));
        assertThat(loaded.problems())
                .extracting(Object::toString)
                .anySatisfy(p -> assertThat(p).contains("64 MB or more"));
    }
}
