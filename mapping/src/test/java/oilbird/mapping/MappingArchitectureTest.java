package oilbird.mapping;

import static com.tngtech.archunit.lang.syntax.ArchRuleDefinition.noClasses;
import static com.tngtech.archunit.library.dependencies.SlicesRuleDefinition.slices;
import static org.assertj.core.api.Assertions.assertThat;

import com.tngtech.archunit.core.domain.JavaClass;
import com.tngtech.archunit.core.domain.JavaClasses;
import com.tngtech.archunit.core.importer.ImportOption;
import com.tngtech.archunit.junit.AnalyzeClasses;
import com.tngtech.archunit.junit.ArchTest;
import com.tngtech.archunit.lang.ArchRule;
import org.jspecify.annotations.NullMarked;

/**
 * The shape of {@code mapping}. What both pure modules must not use (I/O, clock, order that changes between
 * runs) is checked together in the same test of {@code alarm-rules}.
 */
@AnalyzeClasses(packages = "oilbird.mapping", importOptions = ImportOption.DoNotIncludeTests.class)
class MappingArchitectureTest {
    @ArchTest
    static void enoughClassesAreLookedAtForTheRulesToMeanAnything(JavaClasses classes) {
        assertThat(classes).hasSizeGreaterThan(50);
        assertThat(classes.contain("oilbird.mapping.signal.Reading")).isTrue();
        assertThat(classes.contain("oilbird.mapping.text.Problem")).isTrue();
        assertThat(classes.contain("oilbird.mapping.address.RawBlock")).isTrue();
    }

    @ArchTest
    static final ArchRule packagesFormNoCycle =
            slices().matching("oilbird.mapping.(*)..").should().beFreeOfCycles();

    @ArchTest
    static final ArchRule nothingBelowItIsKnown = noClasses()
            .should()
            .dependOnClassesThat()
            .resideInAnyPackage("oilbird.alarm..", "oilbird.gateway..", "oilbird.demoplant..");

    @ArchTest
    static final ArchRule theVocabularyKnowsNothingElse = noClasses()
            .that()
            .resideInAPackage("oilbird.mapping.signal..")
            .should()
            .dependOnClassesThat()
            .resideInAnyPackage("oilbird.mapping.text..", "oilbird.mapping.address..", "oilbird.mapping.map..");

    @ArchTest
    static final ArchRule textFormatsStayInOnePackage = noClasses()
            .that()
            .resideOutsideOfPackage("oilbird.mapping.text..")
            .should()
            .dependOnClassesThat()
            .resideInAnyPackage("com.fasterxml..", "com.networknt..", "org.snakeyaml..");

    @ArchTest
    static void everyPackageIsNullMarked(JavaClasses classes) {
        assertThat(classes.stream().map(JavaClass::getPackage).distinct())
                .hasSizeGreaterThan(2)
                .allMatch(p -> p.isAnnotatedWith(NullMarked.class));
    }
}
