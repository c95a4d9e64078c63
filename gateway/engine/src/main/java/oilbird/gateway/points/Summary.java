package oilbird.gateway.points;

import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import oilbird.alarm.rule.Trouble;

/** What a summary point gathers of one asset; what goes into which is described in {@link PointPicture}. */
public enum Summary {
    /** The asset itself, or what belongs to it, its cooling included. */
    TRANSFORMER_TROUBLE("transformer trouble"),
    /** A monitor that watches it. */
    MONITOR_TROUBLE("monitor trouble"),
    /** Some reading of it must not be taken at face value. */
    READINGS_NOT_TRUSTED("readings not trusted"),
    /** A monitor of it does not answer. */
    COMMUNICATION_LOST("communication lost"),
    /** The gateway itself. */
    GATEWAY_TROUBLE("gateway trouble"),
    /** Some alarm of it is shelved. */
    ALARMS_SHELVED("alarms shelved"),
    /** The asset or a device of it is in maintenance. */
    IN_MAINTENANCE("in maintenance");

    private final String text;

    Summary(String text) {
        this.text = text;
    }

    /** Words for people, in plain ASCII. */
    public String text() {
        return text;
    }

    /** As point lists write it: {@code transformer-trouble}. */
    public String written() {
        return name().toLowerCase(Locale.ROOT).replace('_', '-');
    }

    public static Optional<Summary> of(String written) {
        return Arrays.stream(values()).filter(s -> s.written().equals(written)).findFirst();
    }

    /** Those that every transformer has where the control room dictates nothing. */
    public static List<Summary> ofEveryTransformer() {
        return List.of(TRANSFORMER_TROUBLE, MONITOR_TROUBLE, READINGS_NOT_TRUSTED, COMMUNICATION_LOST);
    }

    /** The summary that an alarm of this trouble goes into. */
    public static Summary ofTrouble(Trouble trouble) {
        return switch (trouble) {
            case TRANSFORMER -> TRANSFORMER_TROUBLE;
            case MONITOR -> MONITOR_TROUBLE;
            case COMMUNICATION -> COMMUNICATION_LOST;
            case GATEWAY -> GATEWAY_TROUBLE;
        };
    }
}
