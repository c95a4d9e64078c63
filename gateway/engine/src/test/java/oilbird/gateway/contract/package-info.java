/** Every form against its published schema. */
@NullMarked
package oilbird.gateway.contract;

import org.jspecify.annotations.NullMarked;
