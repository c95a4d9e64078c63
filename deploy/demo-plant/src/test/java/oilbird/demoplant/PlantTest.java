package oilbird.demoplant;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import oilbird.demoplant.wire.Behaviour.Kind;
import oilbird.demoplant.wire.PortTaken;
import org.junit.jupiter.api.Test;

/** The scenes, in fast time: plant time is ticks. */
class PlantTest {
    private static final int TICKS_A_SECOND = 10;

    @Test
    void theScenesHappenAtTheirTimesAndAreTold() throws Exception {
        try (Stage stage = new Stage(Plant.Scenes.PLAYED)) {
            stage.playUntil(11);
            assertThat(stage.told).containsExactly("[plant 00:00] everything is healthy");
            assertThat(stage.gasStatus("gas-t1") & 0b111).isZero();

            stage.playUntil(16);
            assertThat(stage.told.get(1)).startsWith("[plant 00:12] the cabinet fan");
            assertThat(stage.gasStatus("gas-t1") & 0b111).isEqualTo(0b001);

            stage.playUntil(38);
            assertThat(stage.gasStatus("gas-t1") & 0b111).isEqualTo(0b011);
            assertThat(stage.gasStatus("gas-t2"))
                    .as("bit 12 of transformer 2")
                    .isEqualTo(stage.gasStatus("gas-t2") | 1 << 12);

            stage.playUntil(41);
            assertThat(stage.told).contains("[plant 00:40] oil stops flowing through the gas monitor of transformer 1");
            assertThat(stage.gasStatus("gas-t1") & 0b111).isEqualTo(0b111);
            int counter = stage.gasCounter("gas-t1");

            stage.playUntil(90);
            assertThat(stage.gasCounter("gas-t1")).isEqualTo(counter);
            assertThat(stage.value("gas-t2", "hydrogen")).isBetween(179.0, 181.0);
            assertThat(stage.value("gas-t2", "acetylene")).isBetween(0.3, 0.5);
            assertThat(stage.value("gas-t1", "hydrogen")).isBetween(29.0, 31.0);
            assertThat(stage.behaviour("cooling-t2")).isEqualTo(Kind.SILENT);

            stage.playUntil(120);
            assertThat(stage.behaviour("cooling-t2")).isEqualTo(Kind.NORMAL);
            assertThat(stage.gasStatus("gas-t1") & 0b101)
                    .as("fan and flow are back")
                    .isZero();
            assertThat(stage.told).hasSize(11);
        }
    }

    @Test
    void heldScenesWaitAndPausedScenesStandStillWhileTheDevicesGoOn() throws Exception {
        try (Stage stage = new Stage(Plant.Scenes.HELD)) {
            stage.playUntil(20);
            assertThat(stage.told).isEmpty();
            stage.plant.resumeScript();
            stage.playUntil(30);
            stage.plant.pauseScript();
            stage.playUntil(60);
            assertThat(stage.told).containsExactly("[plant 00:00] everything is healthy");
            assertThat(stage.gasCounter("gas-t1"))
                    .as("analyses at 35 s and 50 s")
                    .isEqualTo(1_412 + 2);
            stage.plant.resumeScript();
            stage.playUntil(63);
            assertThat(stage.told.get(1)).startsWith("[plant 00:12] the cabinet fan");
        }
    }

    @Test
    void withoutScenesEverythingStaysHealthy() throws Exception {
        try (Stage stage = new Stage(Plant.Scenes.NONE)) {
            stage.playUntil(200);
            assertThat(stage.told).isEmpty();
            assertThat(stage.gasStatus("gas-t1") & 0b1111).isZero();
        }
    }

    @Test
    void twoPlantsOfOneSeedAnswerAlike() throws Exception {
        try (Stage stage = new Stage(Plant.Scenes.PLAYED)) {
            try (Plant twin = Plant.start(Map.of(), 1, Plant.Scenes.PLAYED, line -> {})) {
                for (int second = 1; second <= 120; second++) {
                    stage.playUntil(second);
                    for (int i = 0; i < TICKS_A_SECOND; i++) {
                        twin.tick();
                    }
                    for (String device : List.of("gas-t1", "gas-t2")) {
                        assertThat(twin.device(device)
                                        .orElseThrow()
                                        .monitor()
                                        .image()
                                        .inputRegisters(0, 38))
                                .isEqualTo(stage.plant
                                        .device(device)
                                        .orElseThrow()
                                        .monitor()
                                        .image()
                                        .inputRegisters(0, 38));
                    }
                }
            }
        }
    }

    /** A plant whose time the test moves, and what it announced. */
    private static final class Stage implements AutoCloseable {
        final List<String> told = new ArrayList<>();
        final Plant plant;
        private int now;

        Stage(Plant.Scenes scenes) throws PortTaken {
            plant = Plant.start(Map.of(), 1, scenes, told::add);
        }

        void playUntil(int second) {
            for (; now < second * TICKS_A_SECOND; now++) {
                plant.tick();
            }
        }

        int gasStatus(String device) throws Exception {
            return lastRegister(ask(device, "00 01 00 00 00 06 %s 04 00 00 00 01"));
        }

        int gasCounter(String device) throws Exception {
            return lastRegister(ask(device, "00 01 00 00 00 06 %s 04 00 01 00 01"));
        }

        double value(String device, String reading) {
            return plant.device(device).orElseThrow().monitor().value(reading);
        }

        Kind behaviour(String device) {
            return plant.device(device).orElseThrow().behaviour().kind();
        }

        private String ask(String device, String request) throws Exception {
            var server = plant.device(device).orElseThrow();
            try (RawClient client = new RawClient(server.port())) {
                return client.ask(
                        request.formatted("%02X".formatted(server.monitor().unit())));
            }
        }

        private static int lastRegister(String answer) {
            return Integer.parseInt(answer.substring(answer.length() - 5).replace(" ", ""), 16);
        }

        @Override
        public void close() {
            plant.close();
        }
    }
}
