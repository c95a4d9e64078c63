package oilbird.gateway.contract;

import org.jspecify.annotations.Nullable;

/**
 * What a person says in a guided fault-finding, as it comes in. Which keys it needs depends on {@code does}.
 *
 * @param by the person's name.
 * @param key made by whoever sends it, 1 to 100 characters: the same input sent twice counts once.
 * @param seen the version of the fault-finding that the person had in view; needed for all but the beginning.
 * @param doneAt RFC 3339 time at which it was done, where that was earlier.
 * @param does {@code begin}, {@code join}, {@code leave}, {@code second-person}, {@code authorised},
 *     {@code told-before}, {@code told-after}, {@code words-saved}, {@code prepared}, {@code answer}, {@code measure},
 *     {@code repair}, {@code hand-over} or {@code give-up}.
 * @param check id of the check; for {@code authorised}, {@code prepared}, {@code answer}, {@code measure}, and a repair
 *     that a check of the library describes.
 * @param outcome number of the outcome that was found.
 * @param written measured value and unit, as read from the meter.
 * @param testerProvedBefore the tester was proved on a known source before; needed where the circuit is energised.
 * @param testerProvedAfter and after.
 * @param preparation what is confirmed.
 * @param cause id of the cause that was put right.
 * @param words a note; or the name, whom, where, to whom.
 * @param why why it is handed over or given up.
 */
public record FaultFindingActForm(
        @Nullable String by,
        @Nullable String key,
        @Nullable Long seen,
        @Nullable String doneAt,
        @Nullable String does,
        @Nullable String diagnosis,
        @Nullable String check,
        @Nullable Integer outcome,
        @Nullable String written,
        @Nullable Boolean testerProvedBefore,
        @Nullable Boolean testerProvedAfter,
        @Nullable String preparation,
        @Nullable String cause,
        @Nullable String words,
        @Nullable String why) {}
