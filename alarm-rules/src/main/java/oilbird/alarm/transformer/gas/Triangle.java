package oilbird.alarm.transformer.gas;

/**
 * Triangles 1, 4 and 5 (IEC 60599 Annex B; IEEE C57.104-2019 Annex D; confidence A). Inputs are three gases
 * in one volume unit, not negative, at least one above zero. Mineral oil only. Triangle 1 comes first;
 * triangle 4 only after PD, T1 or T2, triangle 5 only after T2 or T3.
 */
public enum Triangle {
    /** Corners CH4, C2H4, C2H2. */
    ONE(Gas.CH4, Gas.C2H4, Gas.C2H2),
    /** Corners H2, CH4, C2H6. */
    FOUR(Gas.H2, Gas.CH4, Gas.C2H6),
    /** Corners CH4, C2H4, C2H6. */
    FIVE(Gas.CH4, Gas.C2H4, Gas.C2H6);

    private final Gas first;
    private final Gas second;
    private final Gas third;

    Triangle(Gas first, Gas second, Gas third) {
        this.first = first;
        this.second = second;
        this.third = third;
    }

    public Gas first() {
        return first;
    }

    public Gas second() {
        return second;
    }

    public Gas third() {
        return third;
    }

    /** The zone of three concentrations in the order of the corners; {@link Zone#NONE} when all are zero. */
    public Zone zone(double a, double b, double c, Choices choices) {
        double sum = a + b + c;
        if (!(sum > 0)) {
            return Zone.NONE;
        }
        double toPercent = 100 / sum;
        return switch (this) {
            case ONE -> one(a * toPercent, b * toPercent, c * toPercent);
            case FOUR -> four(a * toPercent, b * toPercent, c * toPercent, choices);
            case FIVE -> five(b * toPercent, c * toPercent, choices);
        };
    }

    private static Zone one(double ch4, double c2h4, double c2h2) {
        if (ch4 >= 98) {
            return Zone.PD;
        }
        if (c2h2 < 4 && c2h4 < 50) {
            return c2h4 < 20 ? Zone.T1 : Zone.T2;
        }
        if (c2h2 < 15 && c2h4 >= 50) {
            return Zone.T3;
        }
        if (c2h2 >= 13 && c2h4 < 23) {
            return Zone.D1;
        }
        return c2h2 >= 13 && c2h4 < 40 || c2h2 >= 29 ? Zone.D2 : Zone.DT;
    }

    private static Zone four(double h2, double ch4, double c2h6, Choices choices) {
        if (ch4 >= 2 && ch4 < 15 && c2h6 < 1) {
            return Zone.PD;
        }
        if (h2 < 9 && c2h6 >= 30) {
            return Zone.O;
        }
        if (choices.alternative(DisputedCell.TRIANGLE_4_C)) {
            if (ch4 >= 36 && c2h6 >= 24 || h2 < 15 && c2h6 >= 24 && c2h6 < 30) {
                return Zone.C;
            }
            if (ch4 >= 36 && c2h6 < 24) {
                return Zone.NONE;
            }
        } else if (ch4 >= 36 && c2h6 < 24 || h2 < 15 && c2h6 >= 24 && c2h6 < 30) {
            return Zone.C;
        }
        return h2 >= 9 && c2h6 >= 46 ? Zone.ND : Zone.S;
    }

    private static Zone five(double c2h4, double c2h6, Choices choices) {
        double bound = choices.alternative(DisputedCell.TRIANGLE_5_ETHANE) ? 15 : 14;
        if (c2h4 < 1 && c2h6 >= 2 && c2h6 < bound) {
            return Zone.PD;
        }
        if (c2h4 < 10) {
            if (c2h6 >= bound && c2h6 < 54) {
                return Zone.S;
            }
            return choices.alternative(DisputedCell.TRIANGLE_5_O) && c2h4 >= 1 && c2h6 < 2 ? Zone.NONE : Zone.O;
        }
        if (c2h4 < 35 && c2h6 < 12) {
            return Zone.T2;
        }
        if (c2h4 < 35 && c2h6 >= 30) {
            return Zone.ND;
        }
        if (c2h4 < 50 && c2h6 >= 12 && c2h6 < bound || c2h4 < 70 && c2h6 >= bound && c2h6 < 30) {
            return Zone.C;
        }
        return Zone.T3;
    }
}
