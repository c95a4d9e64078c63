package oilbird.demoplant.wire;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatExceptionOfType;

import java.util.concurrent.CompletableFuture;
import java.util.concurrent.TimeUnit;
import oilbird.demoplant.RawClient;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

class FleetServerTest {
    private FleetServer fleet;

    @BeforeEach
    void start() throws PortTaken {
        fleet = FleetServer.start(450, 0);
    }

    @AfterEach
    void stop() {
        fleet.close();
    }

    @Test
    void everyDeviceAnswersOnItsPortUnderItsUnitIdWithItsStatusWordAnd60Readings() throws Exception {
        for (int device : new int[] {0, 199, 200, 449}) {
            try (RawClient client = new RawClient(fleet.port(device))) {
                String unit = "%02X".formatted(fleet.unit(device));
                String answer = client.ask("00 07 00 00 00 06 " + unit + " 03 00 00 00 3D");
                assertThat(answer).startsWith("00 07 00 00 00 7D " + unit + " 03 7A 00 00 ");
                assertThat(answer.split(" ")).hasSize(6 + 0x7D);
            }
        }
        assertThat(fleet.port(199)).isEqualTo(fleet.port(0));
        assertThat(fleet.port(200)).isNotEqualTo(fleet.port(0));
        assertThat(fleet.unit(449)).isEqualTo(50);
        assertThat(fleet.answers()).isEqualTo(4);
    }

    @Test
    void aFlippedBitIsTimedWhenTheFirstAnswerThatCarriesItLeaves() throws Exception {
        try (RawClient client = new RawClient(fleet.port(3))) {
            CompletableFuture<Long> left = fleet.flip(3, 5, true);
            assertThat(client.ask("00 01 00 00 00 06 04 03 00 01 00 01")).startsWith("00 01 00 00 00 05 04 03 02");
            assertThat(left).as("an answer without the status word").isNotDone();
            long before = System.nanoTime();
            assertThat(client.ask("00 02 00 00 00 06 04 03 00 00 00 01")).isEqualTo("00 02 00 00 00 05 04 03 02 00 20");
            long after = System.nanoTime();
            assertThat(left.get(5, TimeUnit.SECONDS)).isBetween(before, after);
        }
    }

    @Test
    void twoFlipsBetweenTwoAnswersAreNotLost() throws Exception {
        try (RawClient client = new RawClient(fleet.port(0))) {
            fleet.flip(0, 0, true);
            fleet.flip(0, 0, false);
            assertThat(client.ask("00 01 00 00 00 06 01 04 00 00 00 01")).endsWith("02 00 01");
            assertThat(client.ask("00 02 00 00 00 06 01 04 00 00 00 01")).endsWith("02 00 00");
        }
    }

    /** Exception codes by MAP V1.1b3, 7. */
    @Test
    void whatItDoesNotOfferIsRefused() throws Exception {
        try (RawClient client = new RawClient(fleet.port(0))) {
            assertThat(client.ask("00 01 00 00 00 06 01 06 00 00 00 01")).endsWith("01 86 01");
            assertThat(client.ask("00 01 00 00 00 06 01 03 00 3D 00 01")).endsWith("01 83 02");
            assertThat(client.ask("00 01 00 00 00 06 01 03 00 00 00 7E")).endsWith("01 83 03");
        }
    }

    @Test
    void aTakenPortIsTold() {
        assertThatExceptionOfType(PortTaken.class).isThrownBy(() -> FleetServer.start(1, fleet.port(0)));
    }
}
