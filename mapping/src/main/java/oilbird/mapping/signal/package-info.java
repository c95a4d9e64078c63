/**
 * The vocabulary that every later stage shares: what was read, how far it can be trusted, and when.
 *
 * <p>This is the only package of {@code mapping} whose types travel the whole way of a signal.
 */
@NullMarked
package oilbird.mapping.signal;

import org.jspecify.annotations.NullMarked;
