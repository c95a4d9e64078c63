package oilbird.alarm.transformer.gas;

/** Which reading of each {@link DisputedCell} is taken. */
public record Choices(int alternativeBits) {
    /** The standing reading of every cell. */
    public static final Choices STANDING = new Choices(0);

    /** Whether the alternative reading of the cell is taken. */
    public boolean alternative(DisputedCell cell) {
        return (alternativeBits & 1 << cell.ordinal()) != 0;
    }

    /** The same choices with the other reading of one cell. */
    public Choices flipped(DisputedCell cell) {
        return new Choices(alternativeBits ^ 1 << cell.ordinal());
    }
}
