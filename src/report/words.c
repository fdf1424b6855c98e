#include "src/report/words.h"

#include "shared/motor.h"

#include <math.h>
#include <stdio.h>

enum { LABEL_COLUMNS = 26 };

const char *sw_words_probability(double probability) {
    if (probability >= 0.99)
        return "almost certain";
    return probability >= SW_POLE_ANSWER_PROBABILITY ? "likely" : "cannot tell";
}

const char *sw_words_phases(int phases) {
    static const char *const WORDS[] = {"Phases not known yet", "One phase", "Two phases",
                                        "Three phases"};
    return WORDS[phases >= 0 && phases <= 3 ? phases : 0];
}

const char *sw_words_ordinal_end(int number) {
    static const char *const ENDS[] = {"th", "st", "nd", "rd"};
    bool teen = number % 100 >= 11 && number % 100 <= 13;
    return teen || number % 10 > 3 ? ENDS[0] : ENDS[number % 10];
}

void sw_words_text_row(sw_text *text, const char *label, const char *value) {
    size_t wide = sw_text_columns(label);
    int gap = wide < LABEL_COLUMNS ? (int)(LABEL_COLUMNS - wide) : 1;
    sw_text_paragraph(text, LABEL_COLUMNS + 2, "  %s%*s%s", label, gap, "", value);
}

void sw_words_row(sw_text *text, const char *label, sw_quantity quantity, const char *comment) {
    if (!sw_quantity_known(quantity))
        return;
    char value[96];
    char line[240];
    sw_quantity_print(quantity, value, sizeof value);
    snprintf(line, sizeof line, "%s%s%s", value, comment != NULL ? " " : "",
             comment != NULL ? comment : "");
    sw_words_text_row(text, label, line);
}

void sw_words_number(double value, int figures, char *out, size_t room) {
    double size = fabs(value);
    int decimals = size > 0 ? figures - 1 - (int)floor(log10(size)) : 0;
    double unit = pow(10, -decimals);
    snprintf(out, room, "%.*f", decimals > 0 ? decimals : 0, round(value / unit) * unit);
}
