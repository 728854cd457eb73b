/* The program: finds the command and runs it. */
#include <stdio.h>
#include <string.h>

#include "cli/command.h"

static const struct owl_command commands[] = {
    {"plan", owl_command_plan, "plan FILE [--night DATE] [--json]", "what the rig will do, night by night, and what to change first"},
    {"working", owl_command_working, "working FILE KEY", "how one number of the plan came about; of a card: working DIR FRAME"},
    {"rehearse", owl_command_rehearse, "rehearse FILE [--seasons N] [--json]", "simulated seasons: how many keepers, how sure, and what loses the rest"},
    {"advise", owl_command_advise, "advise FILE [--keep A,B] [--write NEW]", "what to change for more keepers, confirmed by fresh seasons"},
    {"light", owl_command_light, "light FILE -o NEW.png [--at TIME] [--card]", "the picture it will take, lit as the flashes stand"},
    {"sheet", owl_command_sheet, "sheet FILE -o DIR [--paper] [--calendar]", "the field sheet: one page to print or take along on a phone"},
    {"wire", owl_command_wire, "wire FILE [--shelf FILE] [--costs]", "how sensor, camera and flashes join, safely and for the least"},
    {"shelf", owl_command_shelf, "shelf [FILE | add FILE | from PHOTO...]", "the gear with its sockets; camera and lens out of pictures"},
    {"open", owl_command_open, "open [PLAN] [--card DIR] [--no-browser]", "the workbench: plan and card on one page in the browser"},
    {"pull", owl_command_pull, "pull CARD --to DIR", "brings a card home: every file copied, read back, compared"},
    {"judge", owl_command_judge, "judge DIR [--flashes N] [--table]", "every frame's verdict: subject, look, empty, and what failed"},
    {"visits", owl_command_visits, "visits DIR [--plan FILE]", "who came, the best frame of each visit, and the ledger beside the rehearsed one"},
    {"health", owl_command_health, "health DIR [--working] [--hours]", "what the frames tell of the rig: cells, misfires, fog, slip, clock"},
    {"fields", owl_command_fields, "fields [--results]", "everything a plan file can hold; with --results, every key"},
};

int owl_complain_usage(const char *words, const char *about)
{
    fprintf(stderr, "owllight: %s%s%s\n", words, about ? " " : "", about ? about : "");
    return OWL_EXIT_WRONG;
}

static void print_help(FILE *to)
{
    fputs("owllight: rehearse the night before the animal comes\n\n", to);
    for (size_t i = 0; i < sizeof commands / sizeof *commands; i++)
        fprintf(to, "  owllight %-43s %s\n", commands[i].usage, commands[i].summary);
    fputs("\nThe manual is docs/manual.md; begin with examples/marten.plan.\n", to);
}

int main(int count, char **words)
{
    if (count < 2 || strcmp(words[1], "help") == 0 || strcmp(words[1], "--help") == 0) {
        print_help(count < 2 ? stderr : stdout);
        return count < 2 ? OWL_EXIT_WRONG : OWL_EXIT_WELL;
    }
    for (size_t i = 0; i < sizeof commands / sizeof *commands; i++)
        if (strcmp(words[1], commands[i].name) == 0)
            return commands[i].run(count - 2, words + 2);
    print_help(stderr);
    return owl_complain_usage("no command is called", words[1]);
}
