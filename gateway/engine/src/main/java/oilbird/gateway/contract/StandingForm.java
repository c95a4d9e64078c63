package oilbird.gateway.contract;

import java.util.List;

/**
 * What persons have set on the station, and what they may want to do: form {@code oilbird.standing/1}.
 *
 * @param proposals alarms that chatter; shelving them is proposed and never done by itself.
 */
public record StandingForm(
        String form,
        StationForm station,
        String asOf,
        List<MaintenanceForm> maintenance,
        List<TestForm> tests,
        List<ProposalForm> proposals) {
    public static final String FORM = "oilbird.standing/1";

    public StandingForm {
        maintenance = List.copyOf(maintenance);
        tests = List.copyOf(tests);
        proposals = List.copyOf(proposals);
    }

    /**
     * A device or asset in maintenance.
     *
     * @param timeOver true once the stated time has passed; it goes on until a person ends it.
     */
    public record MaintenanceForm(
            String of,
            ActorForm by,
            String reason,
            String permit,
            String since,
            String until,
            boolean timeOver,
            List<String> alarms) {
        public MaintenanceForm {
            alarms = List.copyOf(alarms);
        }
    }

    /**
     * An outgoing point that is forced.
     *
     * @param point id of an alarm or a reading.
     * @param forcedTo {@code active}, {@code normal} or a number.
     */
    public record TestForm(String point, String forcedTo, ActorForm by, String until) {}

    /**
     * An alarm that chatters.
     *
     * @param activations how often it was raised within the window.
     * @param window ISO 8601 duration.
     * @param longest longest shelving time that it allows, ISO 8601 duration.
     */
    public record ProposalForm(String alarm, String proposal, int activations, String window, String longest) {}
}
