package oilbird.gateway.picture;

import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import oilbird.alarm.transformer.derived.TransformerPicture;
import oilbird.alarm.transformer.gas.Pentagon;
import oilbird.alarm.transformer.gas.Triangle;

/** The pictures that there are of one transformer. */
public final class Pictures {
    /** What a picture may be asked for as. */
    public enum Kind {
        TRIANGLE_1("triangle-1", "Gases in triangle 1"),
        TRIANGLE_4("triangle-4", "Gases in triangle 4"),
        TRIANGLE_5("triangle-5", "Gases in triangle 5"),
        PENTAGON_1("pentagon-1", "Gases in pentagon 1"),
        PENTAGON_2("pentagon-2", "Gases in pentagon 2"),
        GAS_TREND("gas-trend", "Gases over time, with their limits"),
        TEMPERATURES("temperatures", "Temperatures and load over time"),
        AGEING("ageing", "Ageing of the insulation over time");

        private final String key;
        private final String title;

        Kind(String key, String title) {
            this.key = key;
            this.title = title;
        }

        /** Name of the picture's file without its ending. */
        public String key() {
            return key;
        }

        public String title() {
            return title;
        }

        public static Optional<Kind> of(String key) {
            for (Kind kind : values()) {
                if (kind.key.equals(key)) {
                    return Optional.of(kind);
                }
            }
            return Optional.empty();
        }
    }

    private Pictures() {}

    /** The pictures that have something to show now. */
    public static List<Kind> of(TransformerPicture transformer) {
        List<Kind> kinds = new ArrayList<>();
        boolean gases = transformer.gas() != null
                || !transformer.samples().isEmpty()
                || !transformer.laboratory().isEmpty();
        if (gases) {
            kinds.addAll(List.of(
                    Kind.TRIANGLE_1,
                    Kind.TRIANGLE_4,
                    Kind.TRIANGLE_5,
                    Kind.PENTAGON_1,
                    Kind.PENTAGON_2,
                    Kind.GAS_TREND));
        }
        if (!transformer.heat().isEmpty()) {
            kinds.add(Kind.TEMPERATURES);
            kinds.add(Kind.AGEING);
        }
        return kinds;
    }

    /**
     * Draws one; where there is nothing to show yet, the picture says so.
     *
     * @param asset name for people.
     */
    public static String draw(Kind kind, String asset, TransformerPicture transformer) {
        return switch (kind) {
            case TRIANGLE_1 -> TrianglePicture.draw(Triangle.ONE, asset, transformer);
            case TRIANGLE_4 -> TrianglePicture.draw(Triangle.FOUR, asset, transformer);
            case TRIANGLE_5 -> TrianglePicture.draw(Triangle.FIVE, asset, transformer);
            case PENTAGON_1 -> PentagonPicture.draw(Pentagon.ONE, asset, transformer);
            case PENTAGON_2 -> PentagonPicture.draw(Pentagon.TWO, asset, transformer);
            case GAS_TREND -> GasTrendPicture.draw(asset, transformer);
            case TEMPERATURES -> HeatPicture.temperatures(asset, transformer);
            case AGEING -> HeatPicture.ageing(asset, transformer);
        };
    }
}
