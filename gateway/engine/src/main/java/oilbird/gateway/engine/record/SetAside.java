package oilbird.gateway.engine.record;

import java.nio.file.Path;

/**
 * A damaged event record that was put out of the way.
 *
 * @param file where it lies now.
 * @param why what was wrong with it.
 */
public record SetAside(Path file, String why) {}
