from invoicing.management.paper_command import PaperCommand


class Command(PaperCommand):
    help = "Write the findings sheet of an order as a PDF, as it stands. Nothing is issued."
    kind = "findings"
