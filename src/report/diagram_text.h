/* The parts of the build sheet that are read with the hands: how the wires run, which tools. */
#ifndef SPINWORTH_REPORT_DIAGRAM_TEXT_H
#define SPINWORTH_REPORT_DIAGRAM_TEXT_H

#include "shared/text.h"
#include "src/match/match.h"

/* The connection as a drawing in letters: motor, brake switch, rectifier, dump load, fuse, load. */
void sw_diagram_text(const sw_motor *motor, const sw_match *match, sw_text *text);

void sw_tools_text(const sw_match *match, sw_text *text);

#endif
