package oilbird.gateway.engine.record;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.RandomAccessFile;
import java.nio.file.Files;
import java.nio.file.Path;
import oilbird.mapping.signal.Moment;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class IncarnationTest {
    private static final Moment AT_100_S = new Moment(0, 100_000, true);

    @TempDir
    Path folder;

    private long raise(long inRecord) {
        Incarnation incarnation = Incarnation.raise(folder, inRecord, false, AT_100_S);
        assertThat(incarnation.durable()).isTrue();
        return incarnation.number();
    }

    @Test
    void theFirstStartCannotRepeatWhatALostBoxOfTheSameNameCounted() {
        assertThat(raise(0)).as("seconds since 1970").isEqualTo(100);
    }

    @Test
    void everyStartIsOneHigher() {
        assertThat(raise(0)).isEqualTo(100);
        for (int i = 1; i < 20; i++) {
            assertThat(raise(0)).isEqualTo(100 + i);
        }
    }

    @Test
    void theRecordsHighestCountsToo() {
        raise(0);
        assertThat(raise(5_000)).isEqualTo(5_001);
        assertThat(raise(0)).isEqualTo(5_002);
    }

    @Test
    void aRestoredCopyJumpsToWhereItsOriginCannotBe() {
        raise(0);
        raise(0);
        Moment later = new Moment(0, 900_000, true);
        assertThat(Incarnation.raise(folder, 50, true, later).number()).isEqualTo(900);
    }

    @Test
    void aBoxWithoutTimeStillRises() {
        raise(0);
        Moment unset = new Moment(0, 5_000, false);
        assertThat(Incarnation.raise(folder, 0, true, unset).number()).isEqualTo(101);
    }

    @Test
    void aTornWriteOfEitherSlotNeverLeadsBelowTheNumberBeforeIt() throws Exception {
        raise(0);
        raise(0);
        long last = raise(0);
        byte[] sound = Files.readAllBytes(folder.resolve(Incarnation.FILE));
        for (int torn = 0; torn < sound.length; torn += 512) {
            Files.write(folder.resolve(Incarnation.FILE), sound);
            try (RandomAccessFile raw =
                    new RandomAccessFile(folder.resolve(Incarnation.FILE).toFile(), "rw")) {
                raw.seek(torn + 12);
                raw.write(new byte[] {0x55, 0x55});
            }
            // The newest slot may be the torn one: then the write before this start never ended, and its number
            // was never used.
            assertThat(raise(0)).isBetween(last, last + 1);
        }
    }

    @Test
    void theFileIsWrittenInPlaceOnly() throws Exception {
        raise(0);
        long size = Files.size(folder.resolve(Incarnation.FILE));
        Object inode = Files.getAttribute(folder.resolve(Incarnation.FILE), "unix:ino");
        for (int i = 0; i < 5; i++) {
            raise(0);
        }
        assertThat(Files.size(folder.resolve(Incarnation.FILE))).isEqualTo(size);
        assertThat(Files.getAttribute(folder.resolve(Incarnation.FILE), "unix:ino"))
                .isEqualTo(inode);
    }

    @Test
    void whereItCannotBeWrittenTheStartGoesOnAndSaysSo() throws Exception {
        Path noFolder = folder.resolve("file");
        Files.writeString(noFolder, "x");
        assertThat(Incarnation.raise(noFolder, 7, false, AT_100_S)).isEqualTo(new Incarnation(100, false));
    }
}
