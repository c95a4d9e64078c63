@NullMarked
package oilbird.demoplant.room;

import org.jspecify.annotations.NullMarked;
