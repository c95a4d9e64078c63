package oilbird.mapping;

import static com.tngtech.archunit.lang.syntax.ArchRuleDefinition.noClasses;
import static com.tngtech.archunit.library.dependencies.SlicesRuleDefinition.slices;
import static org.assertj.core.api.Assertions.assertThat;

import com.tngtech.archunit.core.domain.JavaClass;
import com.tngtech.archunit.core.domain.JavaClasses;
import com.tngtech.archunit.core.importer.ClassFileImporter;
import com.tngtech.archunit.core.importer.ImportOption;
import com.tngtech.archunit.lang.ArchRule;
import org.jspecify.annotations.NullMarked;
import org.junit.jupiter.api.Test;

/**
 * The shape of {@code mapping}. What both pure modules must not use (I/O, clock, order that changes between
 * runs) is checked together in the same test of {@code alarm-rules}.
 */
class MappingArchitectureTest {
    private static final JavaClasses CLASSES = new ClassFileImporter()
            .withImportOption(new ImportOption.DoNotIncludeTests())
            .importPackages("oilbird.mapping");

    @Test
    void enoughClassesAreLookedAtForTheRulesToMeanAnything() {
        assertThat(CLASSES).hasSizeGreaterThan(50);
        assertThat(CLASSES.contain("oilbird.mapping.signal.Reading")).isTrue();
        assertThat(CLASSES.contain("oilbird.mapping.text.Problem")).isTrue();
        assertThat(CLASSES.contain("oilbird.mapping.address.RawBlock")).isTrue();
    }

    private static final ArchRule PACKAGES_FORM_NO_CYCLE =
            slices().matching("oilbird.mapping.(*)..").should().beFreeOfCycles();

    @Test
    void packagesFormNoCycle() {
        PACKAGES_FORM_NO_CYCLE.check(CLASSES);
    }

    private static final ArchRule NOTHING_BELOW_IT_IS_KNOWN = noClasses()
            .should()
            .dependOnClassesThat()
            .resideInAnyPackage("oilbird.alarm..", "oilbird.gateway..", "oilbird.demoplant..");

    @Test
    void nothingBelowItIsKnown() {
        NOTHING_BELOW_IT_IS_KNOWN.check(CLASSES);
    }

    private static final ArchRule THE_VOCABULARY_KNOWS_NOTHING_ELSE = noClasses()
            .that()
            .resideInAPackage("oilbird.mapping.signal..")
            .should()
            .dependOnClassesThat()
            .resideInAnyPackage("oilbird.mapping.text..", "oilbird.mapping.address..", "oilbird.mapping.map..");

    @Test
    void theVocabularyKnowsNothingElse() {
        THE_VOCABULARY_KNOWS_NOTHING_ELSE.check(CLASSES);
    }

    private static final ArchRule TEXT_FORMATS_STAY_IN_ONE_PACKAGE = noClasses()
            .that()
            .resideOutsideOfPackage("oilbird.mapping.text..")
            .should()
            .dependOnClassesThat()
            .resideInAnyPackage("com.fasterxml..", "com.networknt..", "org.snakeyaml..");

    @Test
    void textFormatsStayInOnePackage() {
        TEXT_FORMATS_STAY_IN_ONE_PACKAGE.check(CLASSES);
    }

    @Test
    void everyPackageIsNullMarked() {
        assertThat(CLASSES.stream().map(JavaClass::getPackage).distinct())
                .hasSizeGreaterThan(2)
                .allMatch(p -> p.isAnnotatedWith(NullMarked.class));
    }
}
