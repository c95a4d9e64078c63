package oilbird.mapping.map;

import oilbird.mapping.address.WordOrder;
import oilbird.mapping.text.YamlMapping;

/** Reads the key {@code order}, whose values are written in capitals as the trade writes them. */
final class WordOrders {
    private WordOrders() {}

    /** {@code ABCD} where none is given or the schema check has told a mistake. */
    static WordOrder read(YamlMapping of) {
        String written = of.text("order", "ABCD");
        for (WordOrder order : WordOrder.values()) {
            if (order.name().equals(written)) {
                return order;
            }
        }
        return WordOrder.ABCD;
    }
}
