package oilbird.demoplant.device;

import static org.assertj.core.api.Assertions.assertThat;

import java.time.Duration;
import java.util.Map;
import java.util.Objects;
import oilbird.demoplant.plant.Plant;
import org.junit.jupiter.api.Test;

/** The two monitors that speak OPC UA; expected contents by hand from the makers' lists. */
class NodeMonitorsTest {
    private static final Duration NOON = Duration.ofHours(6);

    private final Plant plant = Plant.windlow(7);

    private NodeValue node(String device, String id, Duration time) {
        return Objects.requireNonNull(plant.at(device, time).nodes().get(id), id);
    }

    private double number(String device, String id, Duration time) {
        return ((Number) node(device, id, time).value()).doubleValue();
    }

    private long word(String device, Duration time) {
        return (Long) node(device, "Unit.Status", time).value();
    }

    @Test
    void aHealthyProbeShowsStatusValidAndMeasuresEveryFiveMinutes() {
        assertThat(word("moisture-t1", NOON)).isEqualTo(1L << 31);
        long counted = (Long) node("moisture-t1", "Unit.Measurements", NOON).value();
        assertThat(node("moisture-t1", "Unit.Measurements", NOON.plusMinutes(5)).value())
                .isEqualTo(counted + 1);
        NodeValue temperature = node("moisture-t1", "Probe.OilTemperature", NOON);
        assertThat(temperature.statusCode()).isZero();
        assertThat(Plant.INVENTED_MORNING.plus(NOON).toEpochMilli() - temperature.sourceMillis())
                .as("as old as its measurement")
                .isBetween(0L, 300_000L);
    }

    /**
     * Water content from saturation and solubility, log10 S = 7.09 - 1567 / T, common values of the trade, from memory.
     */
    @Test
    void moistureIsWhatSaturationAndTemperatureMakeIt() {
        double saturation = number("moisture-t1", "Probe.Saturation", NOON);
        double kelvin = number("moisture-t1", "Probe.OilTemperature", NOON) + 273.15;
        double expected = saturation / 100 * Math.pow(10, 7.09 - 1_567 / kelvin);
        assertThat(number("moisture-t1", "Probe.Moisture", NOON)).isBetween(expected - 0.01, expected + 0.01);
        assertThat(saturation).isBetween(5.0, 20.0);
    }

    @Test
    void atThreeInTheMorningTheProbeRefreshesItselfAndHoldsItsValues() {
        Duration refresh = Duration.ofHours(21).plusMinutes(10);
        assertThat(word("moisture-t1", refresh)).isEqualTo(1L << 31 | 1 << 4 | 2 << 8);
        NodeValue held = node("moisture-t1", "Probe.Saturation", refresh);
        assertThat(held.statusCode()).as("Uncertain_LastUsableValue").isEqualTo(0x40900000L);
        assertThat(held.sourceMillis())
                .isEqualTo(node("moisture-t1", "Probe.Saturation", refresh.plusMinutes(8))
                        .sourceMillis());
    }

    @Test
    void aBrokenCableIsAStatusCodeAndTwoBits() {
        plant.inject("probe-cable-broken", "moisture-t1", NOON);
        assertThat(word("moisture-t1", NOON)).isEqualTo(1L << 31 | 0b101);
        assertThat(node("moisture-t1", "Probe.OilTemperature", NOON).statusCode())
                .as("Bad_SensorFailure")
                .isEqualTo(0x808C0000L);
        assertThat(node("moisture-t1", "Unit.Supply", NOON).statusCode()).isZero();
    }

    @Test
    void aLostClockGivesSourceTimesOfTheYear2000() {
        plant.inject("clock-lost", "moisture-t1", NOON);
        assertThat(node("moisture-t1", "Unit.Status", NOON.plusMinutes(10)).sourceMillis())
                .isBetween(946_684_800_000L, 946_684_800_000L + 600_000);
        assertThat(word("moisture-t1", NOON.plusMinutes(10)) & 1 << 7).isNotZero();
    }

    @Test
    void aHealthyBushingMonitorShowsStatusValidAllDay() {
        for (int minute = 0; minute < 24 * 60; minute += 11) {
            assertThat(word("bushing-t2", Duration.ofMinutes(minute))).isEqualTo(1L << 15);
        }
    }

    @Test
    void brokenLayersRaiseCapacitanceAndCurrentOfOnePhaseByTheSameShare() {
        double before = number("bushing-t2", "L2.Capacitance", NOON);
        double currentBefore = number("bushing-t2", "L2.LeakageCurrent", NOON);
        plant.inject("bushing-layer-breakdown", "t2", NOON);
        Duration later = NOON.plusHours(7);
        assertThat(number("bushing-t2", "L2.Capacitance", later) / before).isBetween(1.069, 1.075);
        assertThat(number("bushing-t2", "L2.LeakageCurrent", later) / currentBefore)
                .isBetween(1.060, 1.085);
        assertThat(number("bushing-t2", "L1.Capacitance", later)).isBetween(450.0, 454.0);
        assertThat(word("bushing-t2", NOON.plusMinutes(20)) & 1 << 4)
                .as("capacitance-high-l2")
                .isNotZero();
    }

    @Test
    void aBadSensorEarthIsABitAndABadStatusOfItsPhaseAlone() {
        plant.inject("sensor-earth-l3", "bushing-t2", NOON);
        Duration later = NOON.plusMinutes(30);
        assertThat(word("bushing-t2", later) & 0b111).isEqualTo(0b100);
        assertThat(node("bushing-t2", "L3.Capacitance", later).statusCode()).isEqualTo(0x808C0000L);
        assertThat(node("bushing-t2", "L1.Capacitance", later).statusCode()).isZero();
        assertThat(number("bushing-t2", "Unit.SumCurrent", later)).isGreaterThan(3);
    }

    @Test
    void whatAMonitorSaysOfItselfStandsInNodes() {
        Map<String, NodeValue> nodes = plant.at("bushing-t2", NOON).nodes();
        assertThat(nodes.get("Unit.Product")).extracting(NodeValue::value).isEqualTo("RVB-3");
        assertThat(nodes.get("Unit.Revision")).extracting(NodeValue::value).isEqualTo("4.02");
    }
}
