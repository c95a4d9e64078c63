package oilbird.alarm;

import static com.tngtech.archunit.base.DescribedPredicate.describe;
import static com.tngtech.archunit.base.DescribedPredicate.not;
import static com.tngtech.archunit.core.domain.JavaClass.Predicates.assignableTo;
import static com.tngtech.archunit.core.domain.JavaClass.Predicates.equivalentTo;
import static com.tngtech.archunit.core.domain.JavaClass.Predicates.resideInAPackage;
import static com.tngtech.archunit.core.domain.JavaClass.Predicates.resideInAnyPackage;
import static com.tngtech.archunit.lang.syntax.ArchRuleDefinition.classes;
import static com.tngtech.archunit.lang.syntax.ArchRuleDefinition.noClasses;
import static com.tngtech.archunit.library.dependencies.SlicesRuleDefinition.slices;
import static org.assertj.core.api.Assertions.assertThat;

import com.tngtech.archunit.base.DescribedPredicate;
import com.tngtech.archunit.core.domain.AccessTarget.CodeUnitAccessTarget;
import com.tngtech.archunit.core.domain.JavaAccess;
import com.tngtech.archunit.core.domain.JavaClass;
import com.tngtech.archunit.core.domain.JavaClasses;
import com.tngtech.archunit.core.importer.ClassFileImporter;
import com.tngtech.archunit.core.importer.ImportOption;
import com.tngtech.archunit.lang.ArchRule;
import java.io.DataInputStream;
import java.io.IOException;
import java.io.InputStream;
import java.io.UncheckedIOException;
import java.math.BigDecimal;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.security.SecureRandom;
import java.time.Clock;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDateTime;
import java.util.ArrayList;
import java.util.Collection;
import java.util.Date;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Random;
import java.util.Set;
import java.util.SplittableRandom;
import java.util.Timer;
import java.util.UUID;
import java.util.concurrent.TimeUnit;
import java.util.stream.Collectors;
import org.jspecify.annotations.NullMarked;
import org.junit.jupiter.api.Test;

/**
 * The shape of {@code alarm-rules}, and what both pure modules must not use: I/O, threads, a clock, and whatever
 * makes two runs, or two Java releases, give different events from the same inputs.
 */
class AlarmRulesArchitectureTest {
    private static final JavaClasses CLASSES = new ClassFileImporter()
            .withImportOption(new ImportOption.DoNotIncludeTests())
            .importPackages("oilbird.alarm", "oilbird.mapping");

    private static final DescribedPredicate<JavaClass> ALARM = resideInAPackage("oilbird.alarm..");

    /** Exact by IEEE 754 or on integers, so the same everywhere; anything else comes from StrictMath. */
    private static final Set<String> EXACT_MATH = Set.of(
            "abs",
            "max",
            "min",
            "rint",
            "round",
            "floor",
            "ceil",
            "sqrt",
            "signum",
            "fma",
            "copySign",
            "ulp",
            "nextUp",
            "nextDown",
            "nextAfter",
            "getExponent",
            "scalb",
            "toIntExact",
            "addExact",
            "subtractExact",
            "multiplyExact",
            "negateExact",
            "incrementExact",
            "decrementExact",
            "absExact",
            "floorDiv",
            "floorMod",
            "multiplyHigh",
            "multiplyFull");

    @Test
    void enoughClassesAreLookedAtForTheRulesToMeanAnything() {
        assertThat(CLASSES.that(ALARM)).hasSizeGreaterThan(60);
        assertThat(CLASSES.that(not(ALARM))).hasSizeGreaterThan(50);
        assertThat(CLASSES.contain("oilbird.alarm.state.AlarmMachine")).isTrue();
        assertThat(CLASSES.contain("oilbird.alarm.station.StationInput")).isTrue();
        assertThat(CLASSES.contain("oilbird.mapping.signal.Moment")).isTrue();
    }

    // Shape

    private static final ArchRule PACKAGES_FORM_NO_CYCLE =
            slices().matching("oilbird.alarm.(*)..").should().beFreeOfCycles();

    @Test
    void packagesFormNoCycle() {
        PACKAGES_FORM_NO_CYCLE.check(CLASSES);
    }

    private static final ArchRule ONLY_VOCABULARY_CHECKS_AND_TEXT_OF_MAPPING_ARE_USED = noClasses()
            .that(ALARM)
            .should()
            .dependOnClassesThat(resideInAPackage("oilbird.mapping..")
                    .and(not(resideInAnyPackage(
                            "oilbird.mapping.signal..", "oilbird.mapping.check..", "oilbird.mapping.text.."))));

    @Test
    void onlyVocabularyChecksAndTextOfMappingAreUsed() {
        ONLY_VOCABULARY_CHECKS_AND_TEXT_OF_MAPPING_ARE_USED.check(CLASSES);
    }

    private static final ArchRule THE_STATE_MACHINE_KNOWS_ONLY_THE_VOCABULARY = noClasses()
            .that()
            .resideInAPackage("oilbird.alarm.state..")
            .should()
            .dependOnClassesThat(resideInAPackage("oilbird..")
                    .and(not(resideInAnyPackage("oilbird.alarm.state..", "oilbird.mapping.signal.."))));

    @Test
    void theStateMachineKnowsOnlyTheVocabulary() {
        THE_STATE_MACHINE_KNOWS_ONLY_THE_VOCABULARY.check(CLASSES);
    }

    @Test
    void everyPackageIsNullMarked() {
        assertThat(CLASSES.that(ALARM).stream().map(JavaClass::getPackage).distinct())
                .hasSizeGreaterThan(3)
                .allMatch(p -> p.isAnnotatedWith(NullMarked.class));
    }

    // Purity, of both modules

    private static final ArchRule ONLY_PURE_LIBRARIES_ARE_USED = classes()
            .that()
            .resideOutsideOfPackages("oilbird.mapping.text..", "oilbird.alarm.composite..")
            .should()
            .onlyDependOnClassesThat(resideInAnyPackage(
                            "java.lang..", "java.util..", "java.math..", "java.time..", "org.jspecify.annotations..")
                    .or(resideInAPackage("oilbird.."))
                    .or(equivalentTo(ByteBuffer.class))
                    .or(equivalentTo(ByteOrder.class))
                    .or(resideInAPackage("java.nio.charset..")));

    @Test
    void onlyPureLibrariesAreUsed() {
        ONLY_PURE_LIBRARIES_ARE_USED.check(CLASSES);
    }

    /** CEL stays behind one package, which asks nothing else of the world; the bans below hold for it too. */
    private static final ArchRule ONLY_ONE_PACKAGE_KNOWS_THE_EXPRESSION_LANGUAGE = classes()
            .that()
            .resideInAPackage("oilbird.alarm.composite..")
            .should()
            .onlyDependOnClassesThat(resideInAnyPackage(
                    "java.lang..",
                    "java.util..",
                    "org.jspecify.annotations..",
                    "dev.cel..",
                    "com.google.common.collect..",
                    "oilbird.alarm.composite..",
                    "oilbird.mapping.signal.."));

    @Test
    void onlyOnePackageKnowsTheExpressionLanguage() {
        ONLY_ONE_PACKAGE_KNOWS_THE_EXPRESSION_LANGUAGE.check(CLASSES);
        assertThat(CLASSES.that(ALARM).stream()
                        .filter(c -> c.getDirectDependenciesFromSelf().stream()
                                .anyMatch(
                                        d -> d.getTargetClass().getPackageName().startsWith("dev.cel")))
                        .map(JavaClass::getPackageName)
                        .distinct())
                .containsExactly("oilbird.alarm.composite");
    }

    /** It reads the schema from the class path and hands nodes to the schema validator. */
    private static final ArchRule THE_TEXT_PACKAGE_READS_NO_FILES = noClasses()
            .that()
            .resideInAPackage("oilbird.mapping.text..")
            .should()
            .dependOnClassesThat(resideInAnyPackage("java.net..", "java.nio.file..", "java.nio.channels..", "javax..")
                    .or(resideInAPackage("java.io..")
                            .and(not(equivalentTo(InputStream.class)))
                            .and(not(equivalentTo(IOException.class)))
                            .and(not(equivalentTo(UncheckedIOException.class)))));

    @Test
    void theTextPackageReadsNoFiles() {
        THE_TEXT_PACKAGE_READS_NO_FILES.check(CLASSES);
    }

    private static final ArchRule NOTHING_RUNS_ON_A_THREAD_OF_ITS_OWN = noClasses()
            .should()
            .dependOnClassesThat(assignableTo(Thread.class)
                    .or(assignableTo(Timer.class))
                    .or(resideInAPackage("java.util.concurrent..").and(not(equivalentTo(TimeUnit.class)))));

    @Test
    void nothingRunsOnAThreadOfItsOwn() {
        NOTHING_RUNS_ON_A_THREAD_OF_ITS_OWN.check(CLASSES);
    }

    private static final ArchRule NOTHING_ASKS_WHAT_CANNOT_BE_REPLAYED = noClasses()
            .should()
            .accessTargetWhere(describe(
                    "ask for a clock, the surroundings, chance or a default",
                    AlarmRulesArchitectureTest::asksTheWorld));

    @Test
    void nothingAsksWhatCannotBeReplayed() {
        NOTHING_ASKS_WHAT_CANNOT_BE_REPLAYED.check(CLASSES);
    }

    private static final ArchRule NOTHING_ITERATES_IN_AN_ORDER_THAT_CHANGES_BETWEEN_RUNS = noClasses()
            .should()
            .accessTargetWhere(describe(
                    "make an immutable set or map of several entries", AlarmRulesArchitectureTest::shufflesItsEntries));

    @Test
    void nothingIteratesInAnOrderThatChangesBetweenRuns() {
        NOTHING_ITERATES_IN_AN_ORDER_THAT_CHANGES_BETWEEN_RUNS.check(CLASSES);
    }

    private static final ArchRule ARITHMETIC_IS_THE_SAME_EVERYWHERE = noClasses()
            .should()
            .accessTargetWhere(describe(
                    "call a Math function that is not exact",
                    access -> ownerIs(access, Math.class) && !EXACT_MATH.contains(access.getName())));

    @Test
    void arithmeticIsTheSameEverywhere() {
        ARITHMETIC_IS_THE_SAME_EVERYWHERE.check(CLASSES);
    }

    private static final ArchRule FLOATING_POINT_NUMBERS_ARE_NOT_PRINTED_BY_THE_RELEASE = noClasses()
            .should()
            .accessTargetWhere(describe(
                    "print a floating-point number (other digits since Java 19)",
                    AlarmRulesArchitectureTest::printsFloatingPoint));

    @Test
    void floatingPointNumbersAreNotPrintedByTheRelease() {
        FLOATING_POINT_NUMBERS_ARE_NOT_PRINTED_BY_THE_RELEASE.check(CLASSES);
    }

    /** String concatenation is an invokedynamic, which the accesses above do not show. */
    @Test
    void floatingPointNumbersAreNotConcatenated() {
        List<String> offenders = new ArrayList<>();
        int concatenating = 0;
        for (JavaClass c : CLASSES) {
            List<String> descriptors = concatenations(c);
            concatenating += descriptors.isEmpty() ? 0 : 1;
            if (descriptors.stream().anyMatch(AlarmRulesArchitectureTest::takesFloatingPoint)) {
                offenders.add(c.getName());
            }
        }
        assertThat(concatenating).as("CLASSES that concatenate").isGreaterThan(3);
        assertThat(offenders).as("CLASSES that concatenate a float or double").isEmpty();
    }

    private static boolean ownerIs(JavaAccess<?> access, Class<?>... types) {
        for (Class<?> type : types) {
            if (access.getTargetOwner().isEquivalentTo(type)) {
                return true;
            }
        }
        return false;
    }

    private static List<String> parameters(JavaAccess<?> access) {
        return access.getTarget() instanceof CodeUnitAccessTarget target
                ? target.getRawParameterTypes().stream().map(JavaClass::getName).toList()
                : List.of();
    }

    private static boolean asksTheWorld(JavaAccess<?> access) {
        String name = access.getName();
        JavaClass owner = access.getTargetOwner();
        boolean readsAClock = owner.getPackageName().startsWith("java.time") && name.equals("now");
        boolean takesADefault = name.equals("getDefault") || name.equals("systemDefault");
        boolean createsByChance = name.equals("<init>")
                && parameters(access).isEmpty()
                && ownerIs(access, Random.class, SplittableRandom.class, Date.class);
        return readsAClock
                || takesADefault
                || createsByChance
                || ownerIs(access, System.class, Runtime.class, Clock.class, ProcessHandle.class, ProcessBuilder.class)
                        && !name.equals("arraycopy")
                        && !name.equals("lineSeparator")
                || ownerIs(access, Math.class, StrictMath.class, UUID.class) && name.startsWith("random")
                || owner.isAssignableTo(SecureRandom.class);
    }

    private static boolean shufflesItsEntries(JavaAccess<?> access) {
        String name = access.getName();
        int entries = parameters(access).size();
        if (ownerIs(access, Collectors.class)) {
            return name.equals("toUnmodifiableMap") || name.equals("toUnmodifiableSet");
        }
        if (ownerIs(access, Set.class)) {
            return name.equals("copyOf")
                    || name.equals("of") && (entries > 1 || parameters(access).contains("[Ljava.lang.Object;"));
        }
        return ownerIs(access, Map.class)
                && (name.equals("copyOf") || name.equals("ofEntries") || name.equals("of") && entries > 2);
    }

    private static boolean printsFloatingPoint(JavaAccess<?> access) {
        boolean takesOne =
                parameters(access).contains("float") || parameters(access).contains("double");
        String name = access.getName();
        return takesOne
                        && (ownerIs(access, Float.class, Double.class, String.class)
                                        && (name.equals("toString") || name.equals("valueOf"))
                                        && !returnsBox(access)
                                || ownerIs(access, StringBuilder.class, BigDecimal.class)
                                        && (name.equals("append") || name.equals("insert") || name.equals("valueOf")))
                || ownerIs(access, Float.class, Double.class) && name.equals("toString");
    }

    private static boolean returnsBox(JavaAccess<?> access) {
        return ownerIs(access, Float.class, Double.class) && access.getName().equals("valueOf");
    }

    private static boolean takesFloatingPoint(String descriptor) {
        String taken = descriptor.substring(1, descriptor.indexOf(')')).replaceAll("L[^;]*;", "");
        return taken.contains("D")
                || taken.contains("F")
                || descriptor.contains("Ljava/lang/Double;")
                || descriptor.contains("Ljava/lang/Float;");
    }

    /** Descriptors of the string concatenations of a class, from its constant pool (JVMS 4.4). */
    private static List<String> concatenations(JavaClass c) {
        String file = "/" + c.getName().replace('.', '/') + ".class";
        try (InputStream found = AlarmRulesArchitectureTest.class.getResourceAsStream(file)) {
            assertThat(found).as(file).isNotNull();
            DataInputStream in = new DataInputStream(found);
            in.skipNBytes(8);
            int count = in.readUnsignedShort();
            Map<Integer, String> texts = new HashMap<>();
            List<int[]> namesAndTypes = new ArrayList<>();
            for (int i = 1; i < count; i++) {
                int tag = in.readUnsignedByte();
                switch (tag) {
                    case 1 -> texts.put(i, in.readUTF());
                    case 12 -> namesAndTypes.add(new int[] {in.readUnsignedShort(), in.readUnsignedShort()});
                    case 5, 6 -> {
                        in.skipNBytes(8);
                        i++;
                    }
                    case 15 -> in.skipNBytes(3);
                    case 7, 8, 16, 19, 20 -> in.skipNBytes(2);
                    default -> in.skipNBytes(4);
                }
            }
            return namesAndTypes.stream()
                    .filter(n -> "makeConcatWithConstants".equals(texts.get(n[0])))
                    .map(n -> String.valueOf(texts.get(n[1])))
                    .filter(descriptor -> !descriptor.startsWith("(Ljava/lang/invoke/MethodHandles$Lookup;"))
                    .toList();
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
    }

    /** Everything that the rules forbid, so that no rule passes because it looks for the wrong thing. */
    @SuppressWarnings({"unused", "TimeZoneUsage", "JavaTimeDefaultTimeZone", "ReturnValueIgnored"})
    static final class Forbidden {
        Object clock() {
            return List.of(Instant.now(), LocalDateTime.now(), System.nanoTime(), System.currentTimeMillis());
        }

        Object chance() {
            return List.of(new Random(), Math.random(), UUID.randomUUID());
        }

        Object order(Collection<String> some, Map<String, String> map) {
            return List.of(
                    Set.of("a", "b"),
                    Set.copyOf(some),
                    Map.of("a", "b", "c", "d"),
                    Map.copyOf(map),
                    Map.ofEntries(Map.entry("a", "b")),
                    some.stream().collect(Collectors.toUnmodifiableSet()));
        }

        Object arithmetic(double x) {
            return List.of(
                    Math.exp(x), Math.pow(x, x), Math.log(x), Math.log10(x), Math.sin(x), Math.cos(x), Math.tan(x));
        }

        Object printed(float f, double d) {
            return List.of(Float.toString(f), String.valueOf(f), String.valueOf(d), new StringBuilder().append(d));
        }

        String concatenated(double d) {
            return "x" + d;
        }

        Thread thread() {
            return new Thread(() -> {});
        }
    }

    /** What looks alike and is allowed. */
    @SuppressWarnings("unused")
    static final class Allowed {
        Object same(double x, String s, Duration d) {
            return List.of(
                    Set.of(),
                    Set.of("a"),
                    Map.of(),
                    Map.of("a", "b"),
                    List.copyOf(List.of(s)),
                    Math.abs(x),
                    Math.floorDiv(5L, 2L),
                    StrictMath.exp(x),
                    new Random(1),
                    Double.valueOf(x),
                    d.toString(),
                    "x" + s + 5L);
        }
    }

    @Test
    void eachRuleFindsWhatItForbidsAndNothingElse() {
        JavaClasses forbidden = new ClassFileImporter().importClasses(Forbidden.class);
        JavaClasses allowed = new ClassFileImporter().importClasses(Allowed.class);
        Map<ArchRule, Integer> lines = new HashMap<>();
        lines.put(NOTHING_ASKS_WHAT_CANNOT_BE_REPLAYED, 7);
        lines.put(NOTHING_ITERATES_IN_AN_ORDER_THAT_CHANGES_BETWEEN_RUNS, 6);
        lines.put(ARITHMETIC_IS_THE_SAME_EVERYWHERE, 8); // random among them
        lines.put(FLOATING_POINT_NUMBERS_ARE_NOT_PRINTED_BY_THE_RELEASE, 4);
        lines.put(NOTHING_RUNS_ON_A_THREAD_OF_ITS_OWN, 2);
        lines.forEach((rule, expected) -> {
            assertThat(rule.evaluate(forbidden).getFailureReport().getDetails())
                    .as(rule.getDescription())
                    .hasSize(expected);
            assertThat(rule.evaluate(allowed).getFailureReport().getDetails())
                    .as(rule.getDescription())
                    .isEmpty();
        });
        assertThat(concatenations(forbidden.get(Forbidden.class)))
                .anyMatch(AlarmRulesArchitectureTest::takesFloatingPoint);
        assertThat(concatenations(allowed.get(Allowed.class)))
                .isNotEmpty()
                .noneMatch(AlarmRulesArchitectureTest::takesFloatingPoint);
    }
}
