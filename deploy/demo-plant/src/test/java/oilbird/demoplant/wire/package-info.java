@NullMarked
package oilbird.demoplant.wire;

import org.jspecify.annotations.NullMarked;
