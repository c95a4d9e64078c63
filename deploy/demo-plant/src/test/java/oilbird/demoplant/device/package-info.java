@NullMarked
package oilbird.demoplant.device;

import org.jspecify.annotations.NullMarked;
