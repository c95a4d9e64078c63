package oilbird.gateway.app.wiring;

import java.io.IOException;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import oilbird.gateway.command.StationCheck;
import oilbird.gateway.engine.record.RecordFormatException;
import oilbird.gateway.station.RuleVersions;
import oilbird.gateway.station.Station;
import oilbird.gateway.station.StationFolder;
import oilbird.mapping.text.Loaded;

/** The first thing a start does: reads the station folder, or says every mistake in it. */
public final class StationLoading {
    /** The start was refused; the status says why. */
    public static final class RefusedException extends Exception {
        private static final long serialVersionUID = 1L;

        private final int status;

        RefusedException(int status, String message) {
            super(message);
            this.status = status;
        }

        public int status() {
            return status;
        }
    }

    private static final int WRONG_SETTINGS = 1;
    private static final int NEWER_RECORD = 3;

    private StationLoading() {}

    /**
     * @param errors gets every problem of the station folder, warnings too.
     * @throws RefusedException if there is nothing to run on.
     */
    public static Gateway startGateway(GatewaySettings settings, PrintStream errors) throws RefusedException {
        Loaded<Station> loaded;
        try {
            loaded = load(settings, errors);
        } catch (IOException e) {
            throw new RefusedException(WRONG_SETTINGS, "the kept rules cannot be used: " + e.getMessage());
        }
        StationCheck.list(loaded.problems(), errors);
        Station station = loaded.value();
        if (station == null) {
            throw new RefusedException(
                    StationCheck.REFUSED,
                    "the station folder " + settings.station() + " has mistakes; nothing is started");
        }
        try {
            Gateway gateway = Gateway.start(station, settings);
            String code = gateway.access().newSetUpCode();
            if (code != null) {
                errors.println(
                        "There is no user yet. Make the first one on the page set-up.html of the gateway with this"
                                + " code; it works once, and until the next start:\n\n    " + code + "\n");
            }
            return gateway;
        } catch (RecordFormatException e) {
            throw new RefusedException(NEWER_RECORD, String.valueOf(e.getMessage()));
        }
    }

    /** The folder's rules, unless a person went back from just these to the ones before. */
    private static Loaded<Station> load(GatewaySettings settings, PrintStream errors) throws IOException {
        StationFolder.Read read = StationFolder.read(settings.station());
        Station station = read.station().value();
        if (station == null) {
            return read.station();
        }
        RuleVersions versions = new RuleVersions(settings.data());
        String inFolder = station.model().rulesVersion();
        String instead = versions.insteadOf(inFolder).orElse("");
        if (instead.isEmpty()) {
            versions.taken(inFolder, read.rules());
            return read.station();
        }
        errors.println("The rules before those of the station folder stay in force, since a person went back to them."
                + " \"deploy/oilbird rules load\" takes those of the folder.");
        return StationFolder.withRules(settings.station(), versions.files(instead));
    }

    /** The same with the settings of the process, told on its standard error; prepares the web server too. */
    public static Gateway startGateway() throws RefusedException {
        PrintStream errors = new PrintStream(System.err, true, StandardCharsets.UTF_8);
        try {
            GatewaySettings settings = GatewaySettings.ofProcess();
            WebServer.prepare(settings, errors);
            return startGateway(settings, errors);
        } catch (GatewaySettings.SettingsException e) {
            throw new RefusedException(WRONG_SETTINGS, String.valueOf(e.getMessage()));
        }
    }
}
