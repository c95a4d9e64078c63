package oilbird.gateway.modbus;

import java.io.IOException;
import java.io.InputStream;
import java.io.OutputStream;
import java.net.ConnectException;
import java.net.InetSocketAddress;
import java.net.Socket;
import java.net.SocketException;
import java.net.SocketTimeoutException;
import java.time.Duration;
import java.util.concurrent.TimeUnit;
import org.jspecify.annotations.Nullable;

/**
 * One TCP connection with one request under way at a time; not for use by several threads.
 *
 * <p>Anything but a valid answer closes the connection, so that no reply can ever be taken for that of a later
 * request. Framing follows the Messaging on TCP/IP Implementation Guide V1.0b, 3.1.3; where the guide lets a
 * client discard a strange frame, this one closes, since what follows on the stream cannot be trusted either.
 */
public final class ModbusTcpConnection implements ModbusConnection {
    private static final int HEADER = 7;
    private static final int MOST_BYTES = 260;

    private final Socket socket;
    private final InputStream in;
    private final OutputStream out;
    private final TransactionIds transactions;
    private final byte[] sent = new byte[MOST_BYTES];
    // Twice an answer's size, so that a second one in the same segment is seen with the first.
    private final byte[] received = new byte[2 * MOST_BYTES];
    private long answers;
    private volatile boolean closed;

    /**
     * @param socket connected; an {@code SSLSocket} will do.
     */
    ModbusTcpConnection(Socket socket, TransactionIds transactions) throws IOException {
        this.socket = socket;
        this.transactions = transactions;
        socket.setTcpNoDelay(true);
        socket.setKeepAlive(true);
        in = socket.getInputStream();
        out = socket.getOutputStream();
    }

    /** Connects with transaction ids from 1. */
    public static Opening open(String host, int port, Duration deadline) {
        return open(host, port, deadline, new TransactionIds(1));
    }

    static Opening open(String host, int port, Duration deadline, TransactionIds transactions) {
        return open(host, port, deadline, socket -> new ModbusTcpConnection(socket, transactions));
    }

    /** What is made of a connected socket. */
    @FunctionalInterface
    interface Making {
        ModbusConnection of(Socket socket) throws IOException;
    }

    static Opening open(String host, int port, Duration deadline, Making making) {
        InetSocketAddress address = new InetSocketAddress(host, port);
        if (address.isUnresolved()) {
            return notOpened(Fault.HOST_UNKNOWN, host);
        }
        Socket socket = new Socket();
        try {
            socket.connect(address, Math.toIntExact(deadline.toMillis()));
            return new Opening.Opened(making.of(socket));
        } catch (IOException failure) {
            closeQuietly(socket);
            if (failure instanceof SocketTimeoutException) {
                return notOpened(Fault.CONNECT_TIMEOUT, deadline.toMillis() + " ms");
            }
            boolean refused = failure instanceof ConnectException
                    && String.valueOf(failure.getMessage()).contains("refused");
            return refused
                    ? notOpened(Fault.CONNECTION_REFUSED, "")
                    : notOpened(Fault.CONNECT_FAILED, String.valueOf(failure.getMessage()));
        }
    }

    private static Opening notOpened(Fault fault, String particulars) {
        return new Opening.NotOpened(new Outcome.Failed(fault, particulars));
    }

    @Override
    public long answers() {
        return answers;
    }

    @Override
    public boolean isClosed() {
        return closed;
    }

    @Override
    public Outcome exchange(int unit, ReadRequest request, Duration within) {
        if (closed) {
            throw new IllegalStateException("the connection is closed");
        }
        long deadline = System.nanoTime() + within.toNanos();
        int transaction = transactions.next();
        Outcome outcome;
        int filled = 0;
        try {
            if (in.available() > 0) {
                outcome = new Outcome.Failed(Fault.UNASKED_BYTES, in.available() + " bytes");
            } else {
                send(transaction, unit, request);
                Outcome found = null;
                while (found == null) {
                    socket.setSoTimeout(millisLeft(deadline));
                    int count = in.read(received, filled, received.length - filled);
                    if (count < 0) {
                        found = new Outcome.Failed(filled == 0 ? Fault.CLOSED : Fault.CLOSED_INSIDE_ANSWER, "");
                    } else {
                        filled += count;
                        found = examine(transaction, unit, request, filled);
                    }
                }
                outcome = found;
            }
        } catch (SocketTimeoutException timeout) {
            Fault fault = filled == 0 ? Fault.NO_ANSWER : Fault.ANSWER_TOO_SLOW;
            outcome = new Outcome.Failed(fault, within.toMillis() + " ms");
        } catch (SocketException reset) {
            outcome = new Outcome.Failed(Fault.CONNECTION_RESET, "");
        } catch (IOException failure) {
            outcome = new Outcome.Failed(Fault.CONNECTION_RESET, String.valueOf(failure.getMessage()));
        } catch (RuntimeException bug) {
            close();
            throw bug;
        }
        if (outcome instanceof Outcome.Failed) {
            close();
        } else {
            answers++;
        }
        return outcome;
    }

    private void send(int transaction, int unit, ReadRequest request) throws IOException {
        int length = 1 + request.pduLength();
        putShort(sent, 0, transaction);
        putShort(sent, 2, 0);
        putShort(sent, 4, length);
        sent[6] = (byte) unit;
        request.copyPdu(sent, HEADER);
        out.write(sent, 0, HEADER + request.pduLength());
        out.flush();
    }

    /**
     * @throws SocketTimeoutException when none is left: a socket's own time-out begins anew with each piece that
     *     arrives, and 0 would mean for ever.
     */
    private static int millisLeft(long deadline) throws SocketTimeoutException {
        long left = deadline - System.nanoTime();
        if (left <= 0) {
            throw new SocketTimeoutException();
        }
        return (int) Math.max(1, TimeUnit.NANOSECONDS.toMillis(left));
    }

    /** What the bytes received so far amount to; null while more are needed and nothing is wrong. */
    private @Nullable Outcome examine(int transaction, int unit, ReadRequest request, int filled) {
        if (filled < HEADER + 1) {
            return null;
        }
        int answeredTransaction = getShort(received, 0);
        if (answeredTransaction != transaction) {
            return new Outcome.Failed(Fault.WRONG_TRANSACTION, answeredTransaction + ", not " + transaction);
        }
        if (getShort(received, 2) != 0) {
            return new Outcome.Failed(Fault.WRONG_PROTOCOL, String.valueOf(getShort(received, 2)));
        }
        int length = getShort(received, 4);
        if (length < 2 || length > 254) {
            return new Outcome.Failed(Fault.LENGTH_OUT_OF_BOUNDS, String.valueOf(length));
        }
        int answeredUnit = received[6] & 0xFF;
        if (answeredUnit != unit) {
            return new Outcome.Failed(Fault.WRONG_UNIT, answeredUnit + ", not " + unit);
        }
        int pduLength = length - 1;
        int pduAvailable = Math.min(filled - HEADER, pduLength);
        Outcome.Failed wrong = request.checkStart(received, HEADER, pduAvailable, pduLength);
        if (wrong != null) {
            return wrong;
        }
        int whole = HEADER + pduLength;
        if (filled > whole) {
            return new Outcome.Failed(Fault.MORE_THAN_ONE_ANSWER, (filled - whole) + " bytes more");
        }
        return filled < whole ? null : request.parse(received, HEADER, pduLength);
    }

    private static void putShort(byte[] bytes, int offset, int value) {
        bytes[offset] = (byte) (value >> 8);
        bytes[offset + 1] = (byte) value;
    }

    private static int getShort(byte[] bytes, int offset) {
        return (bytes[offset] & 0xFF) << 8 | bytes[offset + 1] & 0xFF;
    }

    @Override
    public void close() {
        closed = true;
        closeQuietly(socket);
    }

    private static void closeQuietly(Socket socket) {
        try {
            socket.close();
        } catch (IOException nothingLeftToClose) {
            // The file descriptor is gone either way.
        }
    }
}
