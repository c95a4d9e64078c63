package oilbird.mapping.address;

/** What is asked of a device at once, and answered as one snapshot. */
public sealed interface Request permits ReadBlock, NodeBlock {
    /** Unique within the device map. */
    String name();

    /** Name of the poll class whose period applies. */
    String pollClass();
}
