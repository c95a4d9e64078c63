package oilbird.gateway;

import static com.tngtech.archunit.lang.syntax.ArchRuleDefinition.classes;
import static com.tngtech.archunit.lang.syntax.ArchRuleDefinition.methods;
import static com.tngtech.archunit.lang.syntax.ArchRuleDefinition.noClasses;
import static com.tngtech.archunit.library.dependencies.SlicesRuleDefinition.slices;
import static org.assertj.core.api.Assertions.assertThat;

import com.tngtech.archunit.base.DescribedPredicate;
import com.tngtech.archunit.core.domain.JavaClass;
import com.tngtech.archunit.core.domain.JavaClasses;
import com.tngtech.archunit.core.domain.JavaMethod;
import com.tngtech.archunit.core.importer.ClassFileImporter;
import com.tngtech.archunit.core.importer.ImportOption;
import oilbird.gateway.access.Needs;
import org.jspecify.annotations.NullMarked;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** The walls between the parts of the gateway, and guards that no rule passes on nothing. */
class GatewayArchitectureTest {
    private static final JavaClasses OILBIRD = new ClassFileImporter()
            .withImportOption(ImportOption.Predefined.DO_NOT_INCLUDE_TESTS)
            .importPackages("oilbird");

    @ParameterizedTest
    @CsvSource({
        "oilbird.mapping, 20",
        "oilbird.alarm, 30",
        "oilbird.gateway.access, 15",
        "oilbird.gateway.engine, 15",
        "oilbird.gateway.modbus, 8",
        "oilbird.gateway.opcua, 12",
        "oilbird.gateway.opcua.server, 20",
        "oilbird.gateway.mqtt, 1",
        "oilbird.gateway.webhook, 3",
        "oilbird.gateway.contract, 5",
        "oilbird.gateway.station, 3",
        "oilbird.gateway.app, 5"
    })
    void theRulesBelowLookAtRealClasses(String root, int atLeast) {
        assertThat(OILBIRD.that(DescribedPredicate.describe(
                        "in " + root, (JavaClass c) -> c.getPackageName().startsWith(root))))
                .hasSizeGreaterThanOrEqualTo(atLeast);
    }

    @Test
    void theCoreKnowsNothingOfTheGateway() {
        noClasses()
                .that()
                .resideInAnyPackage("oilbird.mapping..", "oilbird.alarm..")
                .should()
                .dependOnClassesThat()
                .resideInAnyPackage("oilbird.gateway..", "io.quarkus..", "jakarta..", "java.sql..")
                .check(OILBIRD);
        noClasses()
                .that()
                .resideInAPackage("oilbird.mapping..")
                .should()
                .dependOnClassesThat()
                .resideInAPackage("oilbird.alarm..")
                .check(OILBIRD);
    }

    private static final DescribedPredicate<JavaClass> OPC_UA_SERVER = DescribedPredicate.describe(
            "the OPC UA server", c -> c.getPackageName().startsWith("oilbird.gateway.opcua.server"));

    @Test
    void pollersAndLinksNeverSeeEachOther() {
        noClasses()
                .that()
                .resideInAnyPackage("oilbird.gateway.modbus..", "oilbird.gateway.opcua..")
                .and(DescribedPredicate.not(OPC_UA_SERVER))
                .should()
                .dependOnClassesThat()
                .resideInAnyPackage(
                        "oilbird.gateway.mqtt..",
                        "oilbird.gateway.webhook..",
                        "oilbird.gateway.app..",
                        "oilbird.gateway.contract..")
                .check(OILBIRD);
        noClasses()
                .that()
                .resideInAnyPackage("oilbird.gateway.mqtt..", "oilbird.gateway.webhook..")
                .should()
                .dependOnClassesThat()
                .resideInAnyPackage(
                        "oilbird.gateway.modbus..",
                        "oilbird.gateway.opcua..",
                        "oilbird.gateway.app..",
                        "com.ghgande..",
                        "org.eclipse.milo..")
                .check(OILBIRD);
        slices().matching("oilbird.gateway.(mqtt|webhook|modbus|opcua)..")
                .should()
                .notDependOnEachOther()
                .check(OILBIRD);
        // Of the OPC UA client its server uses certificates and trust folder, and nothing else.
        noClasses()
                .that(OPC_UA_SERVER)
                .should()
                .dependOnClassesThat(DescribedPredicate.describe(
                        "are of the OPC UA poller, of another protocol or of the application",
                        c -> c.getPackageName().startsWith("oilbird.gateway.opcua")
                                        && !c.getPackageName().startsWith("oilbird.gateway.opcua.server")
                                        && !c.getPackageName().startsWith("oilbird.gateway.opcua.trust")
                                || c.getPackageName().startsWith("oilbird.gateway.modbus")
                                || c.getPackageName().startsWith("oilbird.gateway.app")))
                .check(OILBIRD);
        noClasses()
                .that()
                .resideInAnyPackage("oilbird.gateway.opcua..")
                .and(DescribedPredicate.not(OPC_UA_SERVER))
                .should()
                .dependOnClassesThat(OPC_UA_SERVER)
                .check(OILBIRD);
    }

    @Test
    void theEngineKnowsNoProtocolAndNoFramework() {
        noClasses()
                .that()
                .resideInAnyPackage(
                        "oilbird.gateway.engine..",
                        "oilbird.gateway.station..",
                        "oilbird.gateway.contract..",
                        "oilbird.gateway.command..")
                .should()
                .dependOnClassesThat()
                .resideInAnyPackage(
                        "oilbird.gateway.modbus..",
                        "oilbird.gateway.opcua..",
                        "oilbird.gateway.mqtt..",
                        "oilbird.gateway.webhook..",
                        "oilbird.gateway.app..",
                        "org.eclipse.milo..",
                        "io.quarkus..",
                        "io.smallrye..",
                        "jakarta..",
                        "com.ghgande..")
                .check(OILBIRD);
    }

    @Test
    void oneHeavyDependencyOneModule() {
        onlyIn("com.ghgande..", "oilbird.gateway.modbus..");
        onlyIn("org.eclipse.milo..", "oilbird.gateway.opcua..");
        onlyIn("io.vertx.mqtt..", "oilbird.gateway.mqtt..");
        onlyIn("java.sql..", "oilbird.gateway.engine.record..");
        // The OPC UA library needs the provider of the same library registered.
        onlyIn("org.bouncycastle..", "oilbird.gateway.access..", "oilbird.gateway.opcua..");
        onlyIn("org.snakeyaml..", "oilbird.mapping.text..");
        onlyIn("com.networknt..", "oilbird.mapping.text..");
        onlyIn(
                "com.fasterxml.jackson..",
                "oilbird.gateway.contract..",
                "oilbird.gateway.engine.record..",
                "oilbird.mapping.text..");
    }

    private static void onlyIn(String library, String... homes) {
        noClasses()
                .that()
                .resideOutsideOfPackages(homes)
                .should()
                .dependOnClassesThat()
                .resideInAPackage(library)
                .check(OILBIRD);
        assertThat(OILBIRD.stream()
                        .filter(c -> c.getDirectDependenciesFromSelf().stream()
                                .anyMatch(d ->
                                        d.getTargetClass().getPackageName().startsWith(library.replace("..", "")))))
                .as("somebody uses " + library)
                .isNotEmpty();
    }

    @Test
    void accessKnowsNoDoorAndNoFramework() {
        noClasses()
                .that()
                .resideInAPackage("oilbird.gateway.access..")
                .should()
                .dependOnClassesThat()
                .resideInAnyPackage(
                        "oilbird.gateway.engine..",
                        "oilbird.gateway.app..",
                        "oilbird.gateway.contract..",
                        "oilbird.gateway.station..",
                        "io.quarkus..",
                        "io.vertx..",
                        "jakarta..")
                .check(OILBIRD);
    }

    /** Whoever adds an operation says what it needs; the filter would refuse it to everybody otherwise. */
    @Test
    void everyOperationOfRestNamesTheActionThatItNeeds() {
        DescribedPredicate<JavaMethod> operation = DescribedPredicate.describe(
                "an operation of REST",
                (JavaMethod method) -> method.getAnnotations().stream()
                        .anyMatch(a -> a.getRawType().isAnnotatedWith("jakarta.ws.rs.HttpMethod")));
        methods().that(operation).should().beAnnotatedWith(Needs.class).check(OILBIRD);
        assertThat(OILBIRD.stream().flatMap(c -> c.getMethods().stream()).filter(operation))
                .hasSizeGreaterThan(40);
    }

    @Test
    void nothingCanWriteToAMonitor() {
        DescribedPredicate<JavaClass> writes = DescribedPredicate.describe(
                "a Modbus or OPC UA write",
                c -> c.getPackageName().startsWith("com.ghgande")
                                && c.getSimpleName().matches("(Write|ReadWrite|MaskWrite).*")
                        || c.getPackageName().startsWith("org.eclipse.milo")
                                && c.getSimpleName().matches("(Write|Call|AddNodes|DeleteNodes|HistoryUpdate).*"));
        // The server takes calls and refuses writes; it connects to nobody.
        noClasses()
                .that(DescribedPredicate.not(OPC_UA_SERVER))
                .should()
                .dependOnClassesThat(writes)
                .check(OILBIRD);
        noClasses()
                .that(OPC_UA_SERVER)
                .should()
                .dependOnClassesThat()
                .resideInAnyPackage("org.eclipse.milo.opcua.sdk.client..", "com.ghgande..")
                .check(OILBIRD);
    }

    @Test
    void packagesDependOnEachOtherInOneDirection() {
        slices().matching("oilbird.(*).(*)..").should().beFreeOfCycles().check(OILBIRD);
        slices().matching("oilbird.gateway.engine.(*)..")
                .should()
                .beFreeOfCycles()
                .check(OILBIRD);
    }

    @Test
    void everyPackageIsNullMarked() {
        classes()
                .that()
                .haveSimpleName("package-info")
                .should()
                .beAnnotatedWith(NullMarked.class)
                .check(OILBIRD);
        assertThat(OILBIRD.stream().map(JavaClass::getPackageName).distinct())
                .allSatisfy(name -> assertThat(OILBIRD.contain(name + ".package-info"))
                        .as(name + " has a package-info")
                        .isTrue());
    }
}
