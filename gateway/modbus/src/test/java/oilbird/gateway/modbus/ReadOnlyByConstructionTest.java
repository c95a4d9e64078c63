package oilbird.gateway.modbus;

import static com.tngtech.archunit.lang.syntax.ArchRuleDefinition.noClasses;
import static org.assertj.core.api.Assertions.assertThat;

import com.tngtech.archunit.base.DescribedPredicate;
import com.tngtech.archunit.core.domain.JavaClass;
import com.tngtech.archunit.core.domain.JavaClasses;
import com.tngtech.archunit.core.importer.ClassFileImporter;
import com.tngtech.archunit.core.importer.ImportOption;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.TreeSet;
import oilbird.mapping.address.ModbusTable;
import org.junit.jupiter.api.Test;

/** Nothing in the gateway can write to a monitor: it has no words for it. */
final class ReadOnlyByConstructionTest {
    private static final JavaClasses GATEWAY = new ClassFileImporter()
            .withImportOption(ImportOption.Predefined.DO_NOT_INCLUDE_TESTS)
            .importPackages("oilbird.gateway");

    /** An allow-list: a write request of a later library version is refused too. */
    private static final TreeSet<String> READING = new TreeSet<>(List.of(
            "com.ghgande.j2mod.modbus.msg.ModbusRequest",
            "com.ghgande.j2mod.modbus.msg.ModbusResponse",
            "com.ghgande.j2mod.modbus.msg.ReadCoilsRequest",
            "com.ghgande.j2mod.modbus.msg.ReadCoilsResponse",
            "com.ghgande.j2mod.modbus.msg.ReadInputDiscretesRequest",
            "com.ghgande.j2mod.modbus.msg.ReadInputDiscretesResponse",
            "com.ghgande.j2mod.modbus.msg.ReadMultipleRegistersRequest",
            "com.ghgande.j2mod.modbus.msg.ReadMultipleRegistersResponse",
            "com.ghgande.j2mod.modbus.msg.ReadInputRegistersRequest",
            "com.ghgande.j2mod.modbus.msg.ReadInputRegistersResponse",
            "com.ghgande.j2mod.modbus.msg.ReadMEIRequest",
            "com.ghgande.j2mod.modbus.msg.ReadMEIResponse",
            "com.ghgande.j2mod.modbus.util.BitVector",
            // For the checksum of serial frames.
            "com.ghgande.j2mod.modbus.util.ModbusUtil"));

    private static final DescribedPredicate<JavaClass> NOT_READING = DescribedPredicate.describe(
            "of a Modbus library and not a read message",
            type -> (type.getName().startsWith("com.ghgande") || type.getName().contains("modbus.pdu"))
                    && !READING.contains(type.getName()));

    @Test
    void noClassOfTheGatewayKnowsAModbusMessageThatWrites() {
        noClasses().should().dependOnClassesThat(NOT_READING).check(GATEWAY);
    }

    @Test
    void onlyOneClassKnowsTheLibraryAtAll() {
        List<String> users = GATEWAY.stream()
                .filter(type -> type.getDirectDependenciesFromSelf().stream()
                        .anyMatch(use -> use.getTargetClass().getName().startsWith("com.ghgande")))
                .map(type -> type.getName().replaceFirst("\\$.*", ""))
                .distinct()
                .toList();
        assertThat(users).containsExactly("oilbird.gateway.modbus.ReadRequest");
    }

    @Test
    void theRuleLooksAtTheWholeModule() {
        assertThat(GATEWAY.stream().filter(type -> type.getPackageName().equals("oilbird.gateway.modbus")))
                .hasSizeGreaterThan(20);
        assertThat(GATEWAY.stream().filter(type -> type.getPackageName().startsWith("oilbird.gateway.engine")))
                .hasSizeGreaterThan(5);
    }

    @Test
    void everyRequestThatCanBeMadeReads() {
        assertThat(ReadRequest.class.getPermittedSubclasses())
                .containsExactlyInAnyOrder(ReadRequest.Cells.class, ReadRequest.DeviceIdentification.class);
        List<String> functions = new ArrayList<>();
        for (ModbusTable table : ModbusTable.values()) {
            functions.add(String.format("%02X", new ReadRequest.Cells(table, 0, 1).pdu()[0]));
        }
        byte[] identification = new ReadRequest.DeviceIdentification(0).pdu();
        functions.add(RawDevice.HEX.formatHex(Arrays.copyOf(identification, 2)));
        assertThat(functions).containsExactly("01", "02", "03", "04", "2B 0E");
    }
}
