package oilbird.benchmarks;

import com.digitalpetri.modbus.client.ModbusTcpClient;
import com.digitalpetri.modbus.pdu.ReadHoldingRegistersRequest;
import com.digitalpetri.modbus.server.ModbusTcpServer;
import com.digitalpetri.modbus.server.ProcessImage;
import com.digitalpetri.modbus.server.ReadOnlyModbusServices;
import com.digitalpetri.modbus.tcp.client.NettyTcpClientTransport;
import com.digitalpetri.modbus.tcp.server.NettyTcpServerTransport;
import com.ghgande.j2mod.modbus.facade.ModbusTCPMaster;
import com.ghgande.j2mod.modbus.procimg.InputRegister;
import io.netty.channel.nio.NioEventLoopGroup;
import io.netty.util.concurrent.DefaultThreadFactory;
import java.lang.management.ManagementFactory;
import java.lang.management.ThreadMXBean;
import java.time.Duration;
import java.util.Arrays;
import java.util.Locale;
import java.util.Optional;
import oilbird.gateway.modbus.ModbusTcpConnection;
import oilbird.gateway.modbus.Outcome;
import oilbird.gateway.modbus.ReadRequest;
import oilbird.mapping.address.ModbusTable;

/**
 * CPU and wall time of one Modbus TCP transaction, beside bare loops over the j2mod master and over the digitalpetri
 * client on the same device.
 *
 * <p>All three ask the same server, in this process, in turns of {@value #TURN} transactions. CPU time is that of all
 * threads of the asking side: the asking thread, and for the digitalpetri client its Netty threads too, told from the
 * server's by name. Prints the median and the spread of the turns.
 */
public final class TransactionCost {
    private static final int TURN = 2_000;
    private static final int WARM_UP = 10;
    private static final int TURNS = 25;
    private static final int REGISTERS = 60;
    private static final int UNIT = 1;
    private static final String PETRI_THREAD = "petri-client";

    private TransactionCost() {}

    /** One transaction; returns something of the answer, so that no work is left out. */
    @FunctionalInterface
    private interface Transaction {
        int run() throws Exception;
    }

    public static void main(String[] arguments) throws Exception {
        int port = arguments.length > 0 ? Integer.parseInt(arguments[0]) : 15502;
        ModbusTcpServer server = server(port);
        server.start();
        ModbusTCPMaster master = new ModbusTCPMaster("127.0.0.1", port);
        master.connect();
        ModbusTcpConnection.Opening opening = ModbusTcpConnection.open("127.0.0.1", port, Duration.ofSeconds(5));
        if (!(opening instanceof ModbusTcpConnection.Opening.Opened opened)) {
            throw new IllegalStateException(String.valueOf(opening));
        }
        ReadRequest request = new ReadRequest.Cells(ModbusTable.HOLDING_REGISTERS, 0, REGISTERS);
        Transaction bare = () -> {
            InputRegister[] registers = master.readMultipleRegisters(UNIT, 0, REGISTERS);
            int sum = 0;
            for (InputRegister register : registers) {
                sum += register.toUnsignedShort();
            }
            return sum;
        };
        Transaction ours = () -> {
            Outcome outcome = opened.connection().exchange(UNIT, request, Duration.ofSeconds(5));
            return Arrays.stream(((Outcome.Cells) outcome).values()).sum();
        };
        ModbusTcpClient petri =
                ModbusTcpClient.create(NettyTcpClientTransport.create(config -> config.setHostname("127.0.0.1")
                        .setPort(port)
                        .setEventLoopGroup(new NioEventLoopGroup(1, new DefaultThreadFactory(PETRI_THREAD, true)))));
        petri.connect();
        ReadHoldingRegistersRequest petriRequest = new ReadHoldingRegistersRequest(0, REGISTERS);
        Transaction other = () -> {
            byte[] registers = petri.readHoldingRegisters(UNIT, petriRequest).registers();
            int sum = 0;
            for (int i = 0; i < registers.length; i += 2) {
                sum += (registers[i] & 0xFF) << 8 | registers[i + 1] & 0xFF;
            }
            return sum;
        };
        Turns petriTurns = new Turns("bare digitalpetri loop");
        Turns bareTurns = new Turns("bare j2mod loop");
        Turns ourTurns = new Turns("our transaction");
        for (int turn = 0; turn < WARM_UP + TURNS; turn++) {
            bareTurns.measure(bare, turn - WARM_UP);
            ourTurns.measure(ours, turn - WARM_UP);
            petriTurns.measure(other, turn - WARM_UP);
        }
        petriTurns.print();
        bareTurns.print();
        ourTurns.print();
        System.out.printf(
                Locale.ROOT,
                "to bare j2mod: CPU ratio %.2f, wall ratio %.2f%n",
                ourTurns.medianCpu() / bareTurns.medianCpu(),
                ourTurns.medianWall() / bareTurns.medianWall());
        System.out.printf(
                Locale.ROOT,
                "to bare digitalpetri: CPU ratio %.2f, wall ratio %.2f%n",
                ourTurns.medianCpu() / petriTurns.medianCpu(),
                ourTurns.medianWall() / petriTurns.medianWall());
        opened.connection().close();
        petri.disconnect();
        master.disconnect();
        server.stop();
        System.exit(0);
    }

    private static ModbusTcpServer server(int port) {
        ProcessImage image = new ProcessImage();
        image.with(transaction -> transaction.writeHoldingRegisters(registers -> {
            for (int i = 0; i < REGISTERS; i++) {
                registers.put(i, new byte[] {1, (byte) i});
            }
        }));
        return ModbusTcpServer.create(
                NettyTcpServerTransport.create(
                        config -> config.setBindAddress("127.0.0.1").setPort(port)),
                new ReadOnlyModbusServices() {
                    @Override
                    protected Optional<ProcessImage> getProcessImage(int unitId) {
                        return Optional.of(image);
                    }
                });
    }

    /** Microseconds a transaction, one figure a turn. */
    private static final class Turns {
        private static final ThreadMXBean THREADS = ManagementFactory.getThreadMXBean();

        private final String name;
        private final double[] cpu = new double[TURNS];
        private final double[] wall = new double[TURNS];

        Turns(String name) {
            this.name = name;
        }

        void measure(Transaction transaction, int turn) throws Exception {
            int expected = transaction.run();
            long cpuBegan = askingCpu();
            long wallBegan = System.nanoTime();
            for (int i = 0; i < TURN; i++) {
                if (transaction.run() != expected) {
                    throw new IllegalStateException(name + " read something else");
                }
            }
            if (turn >= 0) {
                wall[turn] = (System.nanoTime() - wallBegan) / 1e3 / TURN;
                cpu[turn] = (askingCpu() - cpuBegan) / 1e3 / TURN;
            }
        }

        private static long askingCpu() {
            long sum = THREADS.getCurrentThreadCpuTime();
            for (Thread thread : Thread.getAllStackTraces().keySet()) {
                if (thread.getName().startsWith(PETRI_THREAD)) {
                    sum += Math.max(0, THREADS.getThreadCpuTime(thread.getId()));
                }
            }
            return sum;
        }

        double medianCpu() {
            return median(cpu);
        }

        double medianWall() {
            return median(wall);
        }

        private static double median(double[] values) {
            double[] sorted = values.clone();
            Arrays.sort(sorted);
            return sorted[sorted.length / 2];
        }

        void print() {
            System.out.printf(
                    Locale.ROOT,
                    "%s, %d registers: CPU %.1f us (%.1f to %.1f), wall %.1f us (%.1f to %.1f)%n",
                    name,
                    REGISTERS,
                    medianCpu(),
                    Arrays.stream(cpu).min().orElseThrow(),
                    Arrays.stream(cpu).max().orElseThrow(),
                    medianWall(),
                    Arrays.stream(wall).min().orElseThrow(),
                    Arrays.stream(wall).max().orElseThrow());
        }
    }
}
