package oilbird.gateway.opcua;

import static com.tngtech.archunit.lang.syntax.ArchRuleDefinition.noClasses;
import static org.assertj.core.api.Assertions.assertThat;

import com.tngtech.archunit.base.DescribedPredicate;
import com.tngtech.archunit.core.domain.JavaAccess;
import com.tngtech.archunit.core.domain.JavaClass;
import com.tngtech.archunit.core.domain.JavaClasses;
import com.tngtech.archunit.core.importer.ClassFileImporter;
import com.tngtech.archunit.core.importer.ImportOption;
import java.util.Arrays;
import java.util.List;
import org.eclipse.milo.opcua.sdk.client.OpcUaClient;
import org.junit.jupiter.api.Test;

/**
 * Nothing of the client can change a server: it uses none of the services of OPC UA Part 4 that do (Write, Call,
 * HistoryUpdate, and those that manage nodes and references).
 */
final class ReadOnlyByConstructionTest {
    private static final String CHANGING =
            "(write|call|historyUpdate|addNodes|addReferences|deleteNodes|deleteReferences).*";

    private static final JavaClasses CLIENT = new ClassFileImporter()
            .withImportOption(ImportOption.Predefined.DO_NOT_INCLUDE_TESTS)
            .importPackages("oilbird.gateway.opcua");

    @Test
    void noClassKnowsAMessageThatChangesAServer() {
        noClasses()
                .should()
                .dependOnClassesThat(DescribedPredicate.describe(
                        "a message of a service that changes a server",
                        (JavaClass type) -> type.getPackageName().startsWith("org.eclipse.milo")
                                && type.getSimpleName()
                                        .matches("(Write|Call|HistoryUpdate|AddNodes|AddReferences|DeleteNodes|"
                                                + "DeleteReferences).*")))
                .check(CLIENT);
    }

    @Test
    void noClassCallsAMethodThatChangesAServer() {
        noClasses()
                .should()
                .accessTargetWhere(DescribedPredicate.describe(
                        "a method of the library that changes a server",
                        (JavaAccess<?> access) ->
                                access.getTargetOwner().getPackageName().startsWith("org.eclipse.milo.opcua.sdk.client")
                                        && access.getTarget().getName().matches(CHANGING)))
                .check(CLIENT);
    }

    @Test
    void theRulesLookAtTheClientAndAtMethodsThatExist() {
        assertThat(CLIENT.stream()
                        .filter(type -> type.getDirectDependenciesFromSelf().stream()
                                .anyMatch(use -> use.getTargetClass().getName().contains("OpcUaClient"))))
                .isNotEmpty();
        List<String> changing = Arrays.stream(OpcUaClient.class.getMethods())
                .map(method -> method.getName())
                .filter(name -> name.matches(CHANGING))
                .toList();
        assertThat(changing).contains("write", "writeValues", "call", "historyUpdate");
    }
}
