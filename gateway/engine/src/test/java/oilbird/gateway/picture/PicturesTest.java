package oilbird.gateway.picture;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import java.io.IOException;
import java.io.StringReader;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import javax.xml.parsers.DocumentBuilderFactory;
import oilbird.alarm.transformer.derived.TransformerPicture;
import oilbird.alarm.transformer.gas.Concentration;
import oilbird.alarm.transformer.gas.Gas;
import oilbird.alarm.transformer.gas.GasSample;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;
import org.w3c.dom.Document;
import org.w3c.dom.Element;
import org.w3c.dom.NodeList;
import org.xml.sax.InputSource;

/** Read back by the XML parser of the JDK; looked at as {@code target/pictures/*.svg}, which this test writes. */
class PicturesTest {
    private static final TransformerPicture WORSENING = Drawn.worsening();

    private static Document parsed(String svg) throws Exception {
        DocumentBuilderFactory factory = DocumentBuilderFactory.newInstance();
        factory.setFeature("http://apache.org/xml/features/disallow-doctype-decl", true);
        return factory.newDocumentBuilder().parse(new InputSource(new StringReader(svg)));
    }

    private static List<String> texts(Document document, String element) {
        List<String> texts = new ArrayList<>();
        NodeList found = document.getElementsByTagName(element);
        for (int i = 0; i < found.getLength(); i++) {
            texts.add(found.item(i).getTextContent());
        }
        return texts;
    }

    private static void write(String name, String svg) throws IOException {
        Path folder = Files.createDirectories(Path.of("target/pictures"));
        Files.writeString(folder.resolve(name + ".svg"), svg);
    }

    @ParameterizedTest
    @EnumSource(Pictures.Kind.class)
    void everyPictureIsWellFormedNamedAndDescribedInWords(Pictures.Kind kind) throws Exception {
        String svg = Pictures.draw(kind, "Transformer 1", WORSENING);
        write(kind.key(), svg);
        Document document = parsed(svg);
        Element root = document.getDocumentElement();
        assertThat(root.getNamespaceURI() == null ? root.getAttribute("xmlns") : root.getNamespaceURI())
                .isEqualTo("http://www.w3.org/2000/svg");
        assertThat(root.getAttribute("role")).isEqualTo("img");
        assertThat(texts(document, "title")).singleElement().asString().startsWith("Transformer 1: ");
        assertThat(texts(document, "desc")).singleElement().asString().hasSizeGreaterThan(20);
        assertThat(texts(document, "text"))
                .as("what a screen reader hears is also written")
                .contains(texts(document, "desc").get(0));
        assertThat(svg).doesNotContain("NaN", "Infinity", "<script", "href");
    }

    @ParameterizedTest
    @EnumSource(Pictures.Kind.class)
    void aPictureWithNothingToShowSaysSo(Pictures.Kind kind) throws Exception {
        Document document = parsed(Pictures.draw(kind, "Transformer 1", Drawn.empty()));
        assertThat(texts(document, "desc").get(0)).containsPattern("No gas analysis|Nothing computed");
        assertThat(Pictures.of(Drawn.empty())).isEmpty();
        assertThat(Pictures.of(WORSENING)).containsExactly(Pictures.Kind.values());
    }

    @Test
    void namesFromTheStationFileCannotBreakOutOfThePicture() throws Exception {
        String name = "T1 <b onload=\"x()\"> & 'Söhne' ]]>";
        Document document = parsed(Pictures.draw(Pictures.Kind.TRIANGLE_1, name, WORSENING));
        assertThat(texts(document, "title")).containsExactly(name + ": triangle 1");
        assertThat(document.getElementsByTagName("b").getLength()).isZero();
    }

    @Test
    void theTriangleShowsTheNewestSampleWhereItsPercentagesPutIt() throws Exception {
        Document document = parsed(Pictures.draw(Pictures.Kind.TRIANGLE_1, "Transformer 1", WORSENING));
        assertThat(texts(document, "desc").get(0)).contains("D2, discharge of high energy");
        // CH4 79 + ..., by hand from the last sample: corners at 64 and 416, height from 100.
        GasSample sample = WORSENING.samples().get(WORSENING.samples().size() - 1);
        double ch4 = ppm(sample, Gas.CH4);
        double c2h4 = ppm(sample, Gas.C2H4);
        double c2h2 = ppm(sample, Gas.C2H2);
        double sum = ch4 + c2h4 + c2h2;
        double x = 64 + 352 * (c2h4 / sum + ch4 / sum / 2);
        double y = 100 + 352 * Math.sqrt(3) / 2 * (1 - ch4 / sum);
        Element newest = null;
        NodeList circles = document.getElementsByTagName("circle");
        for (int i = 0; i < circles.getLength(); i++) {
            Element circle = (Element) circles.item(i);
            if (circle.getAttribute("r").equals("6.5")) {
                newest = circle;
            }
        }
        assertThat(newest).isNotNull();
        if (newest != null) {
            assertThat(Double.parseDouble(newest.getAttribute("cx"))).isCloseTo(x, within(0.01));
            assertThat(Double.parseDouble(newest.getAttribute("cy"))).isCloseTo(y, within(0.01));
        }
    }

    @ParameterizedTest
    @EnumSource(
            value = Pictures.Kind.class,
            names = {"TRIANGLE_1", "TRIANGLE_4", "TRIANGLE_5", "PENTAGON_1", "PENTAGON_2"})
    void aFigureOfHealthyGasesNamesNoFault(Pictures.Kind kind) throws Exception {
        Document document = parsed(Pictures.draw(kind, "Transformer 1", Drawn.healthy()));
        assertThat(texts(document, "desc").get(0))
                .as("IEC 60599: ratios mean little below typical values")
                .contains("no gas is above its typical value, so the figure tells of no fault");
    }

    private static double ppm(GasSample sample, Gas gas) {
        Concentration known = sample.of(gas);
        return known == null ? Double.NaN : known.nominalPpm();
    }

    @Test
    void theErrorCloudAndTheTrailAreDrawn() throws Exception {
        Document document = parsed(Pictures.draw(Pictures.Kind.PENTAGON_1, "Transformer 1", WORSENING));
        assertThat(document.getElementsByTagName("circle").getLength())
                .as("128 draws of the cloud, the trail, the newest, and the key")
                .isGreaterThan(128 + 20);
        assertThat(document.getElementsByTagName("polyline").getLength()).isEqualTo(1);
        assertThat(texts(document, "text")).contains("H2 40 %", "C2H2 40 %", "PD", "T1", "newest", "laboratory");
    }

    @Test
    void theTrendHasOnePanelAGasWithItsLimits() throws Exception {
        List<String> texts = texts(parsed(Pictures.draw(Pictures.Kind.GAS_TREND, "Transformer 1", WORSENING)), "text");
        assertThat(texts).contains("hydrogen, ppm", "acetylene, ppm", "carbon dioxide, ppm");
        assertThat(texts)
                .as("IEEE C57.104-2019 tables 1 and 2, O2/N2 above 0.2, 10 to 30 years, hydrogen")
                .contains("40", "90");
        assertThat(texts).as("the newest value stands beside its line").contains("314");
    }
}
