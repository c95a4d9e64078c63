package oilbird.gateway.contract;

/**
 * A reading that must not be taken at face value.
 *
 * @param reading {@code device/point}.
 * @param label the reading's name for people.
 * @param because {@code device/indication} that makes it so.
 * @param becauseText the same in words.
 * @param worthless true where nothing can be concluded from it at all.
 */
public record DoubtForm(String reading, String label, String because, String becauseText, boolean worthless) {}
