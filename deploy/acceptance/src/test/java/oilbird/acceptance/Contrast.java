package oilbird.acceptance;

import java.util.regex.Matcher;
import java.util.regex.Pattern;

/** Contrast ratio of two colours by WCAG 2.2: (L1 + 0.05) / (L2 + 0.05) of their relative luminances. */
final class Contrast {
    private static final Pattern RGB = Pattern.compile("rgb\\((\\d+), (\\d+), (\\d+)\\)");

    private Contrast() {}

    static double of(String one, String other) {
        double a = luminance(one);
        double b = luminance(other);
        return (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
    }

    private static double luminance(String colour) {
        Matcher rgb = RGB.matcher(colour);
        if (!rgb.matches()) {
            throw new IllegalArgumentException("not an opaque colour: " + colour);
        }
        return 0.2126 * channel(rgb.group(1)) + 0.7152 * channel(rgb.group(2)) + 0.0722 * channel(rgb.group(3));
    }

    private static double channel(String value) {
        double c = Integer.parseInt(value) / 255.0;
        return c <= 0.04045 ? c / 12.92 : Math.pow((c + 0.055) / 1.055, 2.4);
    }
}
