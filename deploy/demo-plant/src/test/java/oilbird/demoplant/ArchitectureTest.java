package oilbird.demoplant;

import static com.tngtech.archunit.lang.syntax.ArchRuleDefinition.noClasses;
import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatExceptionOfType;

import com.tngtech.archunit.core.domain.JavaClasses;
import com.tngtech.archunit.core.importer.ClassFileImporter;
import com.tngtech.archunit.core.importer.ImportOption.DoNotIncludeTests;
import org.junit.jupiter.api.Test;

class ArchitectureTest {
    private static final int CLASSES_AT_LEAST = 30;

    private static final JavaClasses PLANT =
            new ClassFileImporter().withImportOption(new DoNotIncludeTests()).importPackages("oilbird");

    @Test
    void thePlantUsesNothingOfMappingRulesOrGateway() {
        noClasses()
                .should()
                .dependOnClassesThat()
                .resideInAnyPackage("oilbird.mapping..", "oilbird.alarm..", "oilbird.gateway..")
                .check(PLANT);
    }

    @Test
    void mappingRulesAndGatewayAreNotEvenWithinReach() {
        for (String theirs : new String[] {
            "oilbird.mapping.signal.Reading", "oilbird.alarm.state.AlarmState", "oilbird.gateway.engine.package-info"
        }) {
            assertThatExceptionOfType(ClassNotFoundException.class).isThrownBy(() -> Class.forName(theirs));
        }
    }

    @Test
    void theMonitorsKnowNeitherSocketsNorClocksNorTheControlRoom() {
        noClasses()
                .that()
                .resideInAPackage("oilbird.demoplant.device..")
                .should()
                .dependOnClassesThat()
                .resideInAnyPackage(
                        "io.netty..",
                        "com.digitalpetri..",
                        "java.net..",
                        "java.time..",
                        "oilbird.demoplant.wire..",
                        "oilbird.demoplant.room..")
                .orShould()
                .callMethod(System.class, "nanoTime")
                .orShould()
                .callMethod(System.class, "currentTimeMillis")
                .check(PLANT);
    }

    @Test
    void theRulesAboveSeeThePlant() {
        assertThat(PLANT.size()).isGreaterThanOrEqualTo(CLASSES_AT_LEAST);
    }
}
