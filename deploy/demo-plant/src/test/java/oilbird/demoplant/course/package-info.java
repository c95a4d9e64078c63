@NullMarked
package oilbird.demoplant.course;

import org.jspecify.annotations.NullMarked;
