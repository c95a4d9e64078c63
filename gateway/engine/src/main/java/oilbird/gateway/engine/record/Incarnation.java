package oilbird.gateway.engine.record;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.channels.FileChannel;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.util.zip.CRC32C;
import oilbird.mapping.signal.Moment;
import org.jboss.logging.Logger;

/**
 * The number of a start of the gateway, raised durably before anything else, so that no event id is given twice.
 *
 * <p>It lies in a small file of two slots that is made once and afterwards only written in place, so that a full
 * disk does not stop it; each write goes to the slot with the lower number, so that a torn write leaves the other.
 * (On a file system that copies on write, a full disk stops it all the same.)
 *
 * <p>Where the file is missing, or the record is a restored copy, an origin may exist that has counted on. The number
 * is then at least the seconds since 1970, which no count of starts reaches.
 *
 * @param number of this start.
 * @param durable false if it could not be written; a later start may then repeat it.
 */
public record Incarnation(long number, boolean durable) {
    public static final String FILE = "incarnation";

    private static final Logger LOG = Logger.getLogger(Incarnation.class);
    private static final long MAGIC = 0x4F494C42_494E4331L;
    private static final int SLOT = 512;

    /**
     * Raises the number of a data folder.
     *
     * @param record what the event record says.
     */
    public static Incarnation raise(Path folder, Recovered record, Moment now) {
        return raise(folder, record.incarnation(), record.copy(), now);
    }

    static Incarnation raise(Path folder, long inRecord, boolean copy, Moment now) {
        Path file = folder.resolve(FILE);
        long inFile = 0;
        try {
            boolean known = Files.exists(file);
            try (FileChannel channel = FileChannel.open(
                    file, StandardOpenOption.READ, StandardOpenOption.WRITE, StandardOpenOption.CREATE)) {
                long first = slot(channel, 0);
                long second = slot(channel, 1);
                inFile = Math.max(first, second);
                long next = next(inFile, inRecord, copy || !known || inFile == 0, now);
                write(channel, first <= second ? 0 : 1, next);
                if (!known) {
                    write(channel, 1, next);
                    syncFolder(folder);
                }
                return new Incarnation(next, true);
            }
        } catch (IOException e) {
            long next = next(inFile, inRecord, true, now);
            LOG.errorf("GW-2030 this start (incarnation %d) cannot be written down: %s", next, e.getMessage());
            return new Incarnation(next, false);
        }
    }

    private static long next(long inFile, long inRecord, boolean originUnknown, Moment now) {
        long next = Math.max(inFile, inRecord) + 1;
        return originUnknown ? Math.max(next, now.wallMillis() / 1_000) : next;
    }

    /** The number in a slot, 0 if it holds none or a torn one. */
    private static long slot(FileChannel channel, int index) throws IOException {
        ByteBuffer slot = ByteBuffer.allocate(SLOT);
        while (slot.hasRemaining()) {
            if (channel.read(slot, (long) index * SLOT + slot.position()) < 0) {
                return 0;
            }
        }
        slot.flip();
        long magic = slot.getLong();
        long number = slot.getLong();
        long sum = slot.getLong();
        return magic == MAGIC && sum == checksum(number) ? number : 0;
    }

    private static void write(FileChannel channel, int index, long number) throws IOException {
        ByteBuffer slot = ByteBuffer.allocate(SLOT);
        slot.putLong(MAGIC).putLong(number).putLong(checksum(number)).rewind();
        while (slot.hasRemaining()) {
            channel.write(slot, (long) index * SLOT + slot.position());
        }
        channel.force(true);
    }

    private static long checksum(long number) {
        CRC32C sum = new CRC32C();
        sum.update(ByteBuffer.allocate(Long.BYTES).putLong(number).flip());
        return sum.getValue();
    }

    private static void syncFolder(Path folder) {
        try (FileChannel channel = FileChannel.open(folder, StandardOpenOption.READ)) {
            channel.force(true);
        } catch (IOException e) {
            // Not every system lets a folder be opened; the file itself is synced.
            LOG.debugf(e, "syncing %s", folder);
        }
    }
}
