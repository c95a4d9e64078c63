@NullMarked
package oilbird.demoplant.plant;

import org.jspecify.annotations.NullMarked;
